"""Sign-offs as they lie in the folder: exact signed bytes and raw signature."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError

from dossier.records.problems import problems_in_words
from dossier.records.signoff import SignOff
from dossier.store.digest import canonical_json, sha256_of_bytes

FOLDER = "signoffs"


@dataclass(frozen=True)
class StoredSignOff:
    """A sign-off with the bytes that were signed. `fault` says why it can't be taken as it is, else empty."""

    signoff: SignOff
    data: bytes
    signature: bytes
    fault: str = ""

    @property
    def sha256(self) -> str:
        """Digest of the signed bytes: what the next sign-off names."""
        return sha256_of_bytes(self.data)


def paths_of(signoff_id: str) -> tuple[str, str]:
    """Relative paths of the signed bytes and the signature."""
    return f"{FOLDER}/{signoff_id}.json", f"{FOLDER}/{signoff_id}.sig"


def signed_bytes(signoff: SignOff) -> bytes:
    """The canonical JSON that is signed and stored (RFC 8785)."""
    return canonical_json(signoff.model_dump(mode="json", exclude_none=True))


def read_signoffs(files: Mapping[str, bytes]) -> tuple[list[StoredSignOff], list[tuple[str, str]]]:
    """All sign-offs among the files {path: bytes} in the order of their numbers, and (path, problem) of the unreadable.

    The number and not the time orders them: times are the signers' own clocks.
    """
    found: list[StoredSignOff] = []
    problems: list[tuple[str, str]] = []
    for path in sorted(path for path in files if path.startswith(f"{FOLDER}/") and path.endswith(".json")):
        try:
            raw: Any = json.loads(files[path])
            signoff = SignOff.model_validate(raw)
            canonical = canonical_json(raw)
        except ValidationError as error:
            problems += [(path, text) for text in problems_in_words(error, SignOff)]
            continue
        except (ValueError, RecursionError) as error:
            problems.append((path, f"is not readable as JSON: {error}; restore it from the history"))
            continue
        found.append(_stored(path, signoff, canonical, files))
    found.sort(key=lambda stored: number_of(stored.signoff.id))
    return found, problems


def number_of(signoff_id: str) -> tuple[int, str]:
    """What orders sign-offs: the number their id ends with."""
    digits = re.search(r"[0-9]{1,9}$", signoff_id)
    return (int(digits[0]) if digits else 0, signoff_id)


def _stored(path: str, signoff: SignOff, canonical: bytes, files: Mapping[str, bytes]) -> StoredSignOff:
    json_path, sig_path = paths_of(signoff.id)
    data, signature = files[path], files.get(sig_path, b"")
    if path != json_path:
        return StoredSignOff(signoff, data, signature, f"{path} holds the sign-off {signoff.id}; it was renamed")
    if canonical != data:
        return StoredSignOff(signoff, data, signature, f"{path} is not in canonical form; it was rewritten")
    if len(signature) != 64:
        return StoredSignOff(signoff, data, signature, f"{sig_path} is missing or has not 64 bytes")
    return StoredSignOff(signoff, data, signature)
