"""The measured file of one specimen, read by the item's scheme, with messages that name file and specimen."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from dossier.methods.evidence_base import RawFiles, SampleIn
from dossier.store.errors import StoreError
from dossier.store.rawfiles import find_raw

if TYPE_CHECKING:
    from dossier.evidence.reading import Curve

Found = TypeVar("Found")


def raw_files_of(root: Path) -> RawFiles:
    """The path of a raw file by its SHA-256. Raises StoreError when it is not there."""

    def path_of(sha256: str) -> Path:
        found = find_raw(root, sha256)
        if found is None:
            raise StoreError(f"evidence/files/{sha256[:16]}… is missing; restore it from a backup")
        return found

    return path_of


def curve_of(reading: dict[str, Any], sample: SampleIn, files: RawFiles) -> Curve:
    """The curve of a specimen. Raises ValueError where it has no file, or one a person must judge first."""
    from dossier.evidence.form import ReadingScheme
    from dossier.evidence.reading import read_curve

    if not sample.file:
        raise ValueError(f"{sample.specimen} has no measured file; import it or say why it is left out")
    name = sample.file_name or sample.file[:16]
    curve = read_curve(files(sample.file), ReadingScheme.from_dict(reading), name=name)
    if curve.problems:
        raise ValueError(f"{name}: {curve.problems[0]}")
    return curve


def of_specimen(sample: SampleIn, evaluated: Callable[[], Found]) -> Found:
    """What `evaluated` gives; a ValueError of it names the file and the specimen."""
    try:
        return evaluated()
    except ValueError as error:
        name = sample.file_name or sample.file[:16]
        raise ValueError(f"{name} ({sample.specimen}): {str(error).removeprefix(f'{name}: ')}") from error
