"""A change: what one entry of the history records."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from types import MappingProxyType

from dossier.store.paths import check_record_path

FORMAT_TRAILER = "Dossier: 1"
UNDOABLE = "Undoable"
_TRAILER = re.compile(r"([A-Za-z][A-Za-z-]*): ([^\x00-\x1f\x7f\ud800-\udfff]*)")
_NOT_IN_NAMES = re.compile(r"[<>\x00-\x1f\x7f]")


@dataclass(frozen=True)
class Change:
    """Several files that change together or not at all, with the words and the person for the history.

    `files` maps relative record paths to the new bytes, or to None to delete the file. `trailers` are short facts
    for the tool (such as {"Undoable": "no"}), `when` the time of the change (default: now). Raises ValueError or
    RefusedPath naming what is wrong.
    """

    message: str
    author: str
    files: Mapping[str, bytes | None]
    trailers: Mapping[str, str] = field(default_factory=dict)
    when: datetime | None = None

    def __post_init__(self) -> None:
        object.__setattr__(self, "message", _checked_text("message", self.message))
        object.__setattr__(self, "author", _checked_text("author", self.author))
        if _NOT_IN_NAMES.search(self.author):
            raise ValueError(f"author = {self.author!r} holds <, > or a control character; give the name only")
        if "\0" in self.message:
            raise ValueError(f"message = {self.message!r} holds a zero byte; remove it")
        if self.when is not None and (self.when.tzinfo is None or self.when.timestamp() < 0):
            raise ValueError(f"when = {self.when} must carry a time zone and lie after 1970")
        for path, data in self.files.items():
            check_record_path(path)
            if data is not None and not isinstance(data, bytes):
                raise ValueError(f"files[{path!r}] must be bytes or None, not {type(data).__name__}")
        for key, value in self.trailers.items():
            if not _TRAILER.fullmatch(f"{key}: {value}") or value != value.strip() or key == "Dossier":
                raise ValueError(f"trailer {key!r} = {value!r} must be a word of letters and one line of text")
        object.__setattr__(self, "files", MappingProxyType(dict(self.files)))
        object.__setattr__(self, "trailers", MappingProxyType(dict(self.trailers)))

    @property
    def paths(self) -> list[str]:
        """The touched files, sorted."""
        return sorted(self.files)

    def seconds(self) -> int:
        """Time of the change in whole seconds since 1970 (UTC)."""
        return int((self.when or datetime.now(UTC)).timestamp())


def compose_message(change: Change) -> str:
    """The stored message: words, blank line, trailers; the last line always marks the trailers as ours."""
    trailers = [f"{key}: {value}" for key, value in change.trailers.items()]
    return "\n".join([change.message, "", *trailers, FORMAT_TRAILER, ""])


def split_message(text: str) -> tuple[str, dict[str, str]]:
    """Words and trailers of a stored message; words of a user can never pass for trailers."""
    message, _, block = text.rstrip("\n").rpartition("\n\n")
    lines = block.split("\n")
    if not message or lines[-1] != FORMAT_TRAILER:
        return text.strip("\n"), {}
    matches = [_TRAILER.fullmatch(line) for line in lines[:-1]]
    return message, {match[1]: match[2] for match in matches if match}


def _checked_text(name: str, text: str) -> str:
    cleaned = text.strip()
    if not cleaned:
        raise ValueError(f"{name} = {text!r} must not be empty")
    try:
        cleaned.encode("utf-8")
    except UnicodeEncodeError as error:
        raise ValueError(f"{name} = {text!r} holds a lone surrogate; remove it") from error
    return cleaned
