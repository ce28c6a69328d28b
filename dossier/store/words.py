"""The difference of two documents, field by field and in words.

Tables in a list belong together when they carry the same `id`, wherever they stand in the list, so that sorting
records is no difference. Lists of tables without ids are compared by position, other lists as a whole.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

MAX_TEXT = 60


@dataclass(frozen=True)
class FieldChange:
    """One difference. `path` are the keys from the document down, with a record's id in place of its position.

    `old` is None when the field was added, `new` is None when it was removed (TOML knows no null). `records` counts
    the leading parts of `path` that name a record: ("requirement", "R-012", "limit", "max") has 2.
    """

    path: tuple[str, ...]
    old: Any
    new: Any
    records: int = 0


def differences(old: Mapping[str, Any], new: Mapping[str, Any]) -> list[FieldChange]:
    """All differences, in the order of the fields (new ones after the old ones)."""
    return list(_compare_tables(old, new, (), 0))


def in_words(
    change: FieldChange,
    unit_of: Callable[[tuple[str, ...]], str | None] | None = None,
    label_of: Callable[[tuple[str, ...]], str | None] | None = None,
    record: str = "",
) -> str:
    """One line such as "R-012 limit.max 45 → 50 kN".

    `unit_of` and `label_of` take the path of the change; the label replaces the names of the fields. `record` names
    the record where the whole document is one.
    """
    named = 0 if record else change.records
    record = change.path[named - 1] if named else record
    label = label_of(change.path) if label_of is not None else None
    field = label if label is not None else _dotted(change.path[named:])
    unit = unit_of(change.path) if unit_of is not None else None
    subject = " ".join(part for part in (record, field) if part)
    if change.old is None or change.new is None:
        verb, value = ("added", change.new) if change.old is None else ("removed", change.old)
        if not field or isinstance(value, Mapping):
            return f"{subject} {verb}"
        return f"{subject} {verb}: {_with_unit(_shown(value), unit)}"
    return f"{subject} {_shown(change.old)} → {_with_unit(_shown(change.new), unit)}"


def _compare_tables(
    old: Mapping[str, Any], new: Mapping[str, Any], path: tuple[str, ...], records: int
) -> Iterator[FieldChange]:
    for key in [*old, *(key for key in new if key not in old)]:
        yield from _compare(old.get(key), new.get(key), (*path, key), records)


def _compare(old: Any, new: Any, path: tuple[str, ...], records: int) -> Iterator[FieldChange]:
    if isinstance(old, Mapping) and isinstance(new, Mapping):
        yield from _compare_tables(old, new, path, records)
    elif _are_tables(old) and _are_tables(new) and (old or new):
        yield from _compare_lists(old or [], new or [], path, records)
    elif not _same(old, new):
        yield FieldChange(path, old, new, records)


def _compare_lists(
    old: list[Mapping[str, Any]], new: list[Mapping[str, Any]], path: tuple[str, ...], records: int
) -> Iterator[FieldChange]:
    by_id = _have_ids(old) and _have_ids(new)
    before = {_name(number, item, by_id): item for number, item in enumerate(old)}
    after = {_name(number, item, by_id): item for number, item in enumerate(new)}
    for name in [*before, *(name for name in after if name not in before)]:
        below = (*path, name)
        yield from _compare(before.get(name), after.get(name), below, records or (len(below) if by_id else 0))


def _are_tables(value: Any) -> bool:
    """A list of tables; a missing or empty list counts, so that its records are told one by one."""
    return value is None or (isinstance(value, list) and all(isinstance(item, Mapping) for item in value))


def _have_ids(tables: list[Mapping[str, Any]]) -> bool:
    ids = [table.get("id") for table in tables]
    return all(isinstance(name, str) for name in ids) and len(set(ids)) == len(ids)


def _name(number: int, table: Mapping[str, Any], by_id: bool) -> str:
    return table["id"] if by_id else f"[{number + 1}]"


def _same(old: Any, new: Any) -> bool:
    """Equal in type and value: 1 and true differ, 1 and 1.0 do not, nan equals nan."""
    if isinstance(old, bool) or isinstance(new, bool):
        return old is new
    if isinstance(old, list) and isinstance(new, list):
        return len(old) == len(new) and all(map(_same, old, new))
    if isinstance(old, Mapping) and isinstance(new, Mapping):
        return old.keys() == new.keys() and all(_same(old[key], new[key]) for key in old)
    return old == new or (old != old and new != new)


def _dotted(path: tuple[str, ...]) -> str:
    text = ""
    for part in path:
        text += part if not text or part.startswith("[") else f".{part}"
    return text


def _with_unit(text: str, unit: str | None) -> str:
    return f"{text} {unit}" if unit else text


def _shown(value: Any) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.12g}"
    if isinstance(value, str):
        line = " ".join(value.split())
        return f"“{line if len(line) <= MAX_TEXT else line[: MAX_TEXT - 1] + '…'}”"
    if isinstance(value, list):
        shown = ", ".join(_shown(item) for item in value)
        return f"[{shown}]" if len(shown) <= MAX_TEXT else f"[{len(value)} values]"
    if isinstance(value, Mapping):
        return f"{{{', '.join(value)}}}"
    return str(value)
