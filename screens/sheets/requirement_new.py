"""A new requirement: asked for line by line, or taken from the one under the cursor."""

from __future__ import annotations

import copy
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

from dossier import units
from dossier.actions.edit import add_record, next_id, validated
from dossier.actions.refusal import Refusal
from dossier.actions.requirements_csv import preview_requirements, take_requirements
from dossier.checks.requirements import quantities, units_of
from dossier.records.requirement import Limit, Requirement
from screens.paint import Piece
from screens.sheets.editing import refused
from screens.sheets.preview import Previews
from screens.widgets.entry import Entry

TABLE, MOST_TOLD = "table", 6
_LIMIT = re.compile(r"\s*(?:(?P<sign>≤|≥|<=|>=|max|min)\s*(?P<one>[^ ].*)|(?P<low>.+?)\s*\.\.\s*(?P<high>.+))\s*$")


def limit_of(typed: str, unit: str) -> dict[str, Any]:
    """A typed limit as stored: "≤ 17", ">= 3", "3 .. 5", anything else a criterion in words. Raises Refusal."""
    found = _LIMIT.match(typed)
    try:
        if found is None and _is_value(typed, unit):
            raise Refusal(f'limit = "{typed}" does not say on which side it limits; write ≤ 17, ≥ 3 or 3 .. 5')
        if found is None:
            limit: dict[str, Any] = {"kind": "pass_fail", "criterion": typed.strip()}
        elif found["sign"]:
            kind = "max" if found["sign"] in ("≤", "<=", "max") else "min"
            limit = {"kind": kind, kind: units.parse(found["one"], unit)}
        else:
            limit = {"kind": "range", "min": units.parse(found["low"], unit), "max": units.parse(found["high"], unit)}
    except units.UnitError as error:
        raise Refusal(f'limit = "{typed}": {error}; write ≤ 17, ≥ 3, 3 .. 5, or the criterion in words') from error
    validated(Limit, limit)
    return limit


def _is_value(typed: str, unit: str) -> bool:
    try:
        units.parse(re.sub(r"(?<=\d),(?=\d)", ".", typed, count=1), unit)
    except units.UnitError:
        return False
    return True


class MakesRequirements(Previews):
    """The part of the requirements' sheet that adds one."""

    def new_requirement(self, template: str) -> None:
        """Begin one, with the requirement under the cursor as a template if wanted."""
        options = [("", "a requirement, field by field")]
        if template:
            options.append((template, f"a copy of {template} with another title"))
        options.append((TABLE, "requirements from a CSV file, shown first"))
        self.choose("new requirement", options, lambda way: self._table() if way == TABLE else self._begin(way))

    def _table(self) -> None:
        """Ask for a table's file, show what it holds, then take it."""
        def objection(text: str) -> str:
            return refused(lambda: preview_requirements(self.session.opened.project, Path(text.strip()).expanduser(), []))

        entry = Entry("edit", "requirements file", "CSV file", hint="first line: names of the columns", check=objection, width=40)
        self.ask(entry, lambda text: self._shown_table(Path(text.strip()).expanduser()))

    def _shown_table(self, file: Path) -> None:
        project, person = self.session.opened.project, self.session.person
        found = preview_requirements(project, file, [])
        options = [("take", f"take {len(found.taken)} in"), ("", "leave them")]
        if not found.taken:
            options = options[1:]
        self.choose(f"{file.name}: {len(found.taken)} to take, {len(found.held_back)} held back", options,
                    lambda way: self.record(lambda: take_requirements(project, found, person)) if way else None)  # fmt: skip
        told = [f"held back: {text}" for text in found.held_back] + ["  ".join(map(str, row)) for row in found.rows()]
        self.frame.strip.show_below([Piece(text, "quiet") for text in told[:MOST_TOLD]])

    def _begin(self, template: str) -> None:
        project = self.session.opened.project
        name = next_id(project, "requirement")
        raw = copy.deepcopy(project.raw[template]) if template else {}
        raw.pop("agreed", None)
        raw = {**raw, "id": name}
        title = f"{name} title"
        if template:
            self._text(title, "title", str(raw["title"]), lambda text: self._add({**raw, "title": text}, template))
        else:
            self._text(title, "title", "", lambda text: self._statement({**raw, "title": text}))

    def _text(self, label: str, field: str, text: str, then: Callable[[str], bool | None],
              check: Callable[[str], str] | None = None, hint: str = "", unit: str = "") -> None:  # fmt: skip
        def objection(typed: str) -> str:
            if not typed.strip():
                return f"{field} is empty; type it, or Esc leaves"
            return check(typed) if check else ""

        kind = "remark" if field == "statement" else "edit"
        self.ask(Entry(kind, f"new requirement {field}", label, text, unit, hint, check=objection, width=40), then)

    def _statement(self, raw: dict[str, Any]) -> None:
        hint = f"one sentence with shall, for example: The joint shall … ({raw['title']})"
        self._text(f"{raw['id']} statement", "statement", "", lambda text: self._quantity({**raw, "statement": text}), hint=hint)

    def _quantity(self, raw: dict[str, Any]) -> None:
        known = quantities()
        options = [(name, f"{name.replace('_', ' ')}  ({', '.join(known[name]).replace('_', ' ')})") for name in known]
        self.choose(f"{raw['id']} quantity", options, lambda name: self._unit({**raw, "quantity": name}))

    def _unit(self, raw: dict[str, Any]) -> None:
        quantity = raw["quantity"]

        def check(typed: str) -> str:
            try:
                fits = bool(set(quantities()[quantity]) & set(units.dimensions_of(typed)))
            except units.UnitError as error:
                return str(error)
            return "" if fits else f'unit = "{typed.strip()}" does not fit {quantity}; accepted are {", ".join(accepted)}'

        accepted = units_of(quantity)
        self._text(f"{raw['id']} unit", "unit", "", lambda text: self._limit({**raw, "unit": text.strip()}), check,
                   f"of the limit: {', '.join(accepted)}")  # fmt: skip

    def _limit(self, raw: dict[str, Any]) -> None:
        unit = raw["unit"]
        self._text(f"{raw['id']} limit", "limit", "", lambda text: self._add({**raw, "limit": limit_of(text, unit)}, ""),
                   lambda text: refused(lambda: limit_of(text, unit)), "≤ 17, ≥ 3, 3 .. 5, or a criterion in words",
                   "" if unit in ("-", "1") else unit)  # fmt: skip

    def _add(self, raw: dict[str, Any], template: str) -> bool:
        """Record it, in the file of the requirement it was copied from or stands beside."""
        project = self.session.opened.project
        beside = template or self.record_at_cursor()
        path = project.places[beside].path if beside in project.places else ""

        def make():
            validated(Requirement, raw)
            return add_record(project, "requirement", raw, self.session.person, path=path)

        done = self.record(make)
        if done:
            self.go_to(raw["id"])
        return done
