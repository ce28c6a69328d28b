"""Sign-offs as they lie in the folder: exact signed bytes and raw signature."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from pydantic import ValidationError

from dossier.records.base import problems_in_words
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
    """All sign-offs among the files {path: bytes}, oldest first, and (path, problem) of what could not be read."""
    found: list[StoredSignOff] = []
    problems: list[tuple[str, str]] = []
    for path in sorted(path for path in files if path.startswith(f"{FOLDER}/") and path.endswith(".json")):
        try:
            raw: Any = json.loads(files[path])
            signoff = SignOff.model_validate(raw)
        except (json.JSONDecodeError, UnicodeDecodeError) as error:
            problems.append((path, f"is not readable as JSON: {error}"))
            continue
        except ValidationError as error:
            problems += [(path, text) for text in problems_in_words(error, SignOff)]
            continue
        found.append(_stored(path, signoff, files))
    found.sort(key=lambda stored: (stored.signoff.signed_at, stored.signoff.id))
    return found, problems


def _stored(path: str, signoff: SignOff, files: Mapping[str, bytes]) -> StoredSignOff:
    json_path, sig_path = paths_of(signoff.id)
    data, signature = files[path], files.get(sig_path, b"")
    if path != json_path:
        return StoredSignOff(signoff, data, signature, f"{path} holds the sign-off {signoff.id}; it was renamed")
    if signed_bytes(signoff) != data:
        return StoredSignOff(signoff, data, signature, f"{path} is not in canonical form; it was rewritten")
    if len(signature) != 64:
        return StoredSignOff(signoff, data, signature, f"{sig_path} is missing or has not 64 bytes")
    return StoredSignOff(signoff, data, signature)
