"""Beginning a record, or an entry of one, by questions in the entry strip; what was answered is kept until it is recorded."""

from __future__ import annotations

import copy
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from dossier.actions.edit import add_record, next_id, replace_record
from dossier.actions.refusal import Refusal, words_of
from dossier.actions.told import in_words
from dossier.records.collections import collection_of_kind
from dossier.records.fields import Steps, spot_at
from dossier.records.put import holder_of, put, value_at
from dossier.store.change import Change
from dossier.units import amount
from screens.paint import LineLike, Piece, line
from screens.sheets.editing import Edits, refused
from screens.wanted import Wanted, next_wanted, with_answer
from screens.widgets.entry import Entry

DROP, GO_ON = "drop", "go on"
OWN_IDS = {"idea": "idea", "cost": "cost"}


@dataclass
class Begun:
    """A record that is being asked for: its fields so far, and which were left empty.

    `record_id` and `under` name the record and the place in it where an entry is added; both are empty for a new record.
    """

    kind: str
    raw: dict[str, Any]
    record_id: str = ""
    under: str = ""
    passed: list[str] = field(default_factory=list)
    answered: list[str] = field(default_factory=list)

    @property
    def name(self) -> str:
        """Under which it is kept."""
        return f"{self.record_id}.{self.under}" if self.record_id else self.kind

    @property
    def label(self) -> str:
        """The record and the place, as the strip shows it."""
        return str(self.raw.get("id", "")) if not self.record_id else self.record_id


class Asks(Edits):
    """A sheet on which records are begun."""

    def choose_new(self, kinds: Sequence[str], others: Sequence[tuple[str, LineLike]] = ()) -> None:
        """Choose what is new: one of the kinds of records, or another deed of the sheet (see `other_new`)."""
        if self.session.read_only:
            self.say(f"Read-only: {self.session.lock.reason or 'opened to look'}. What you type is kept as a draft only.")
        known = set(self.session.opened.project.kinds.values())
        free = [kind for kind in kinds if kind not in OWN_IDS or kind not in known]
        options = [*others, *((kind, line(kind, Piece(self._told_begun(kind), "quiet"))) for kind in free)]
        self.choose("new", options, lambda name: self.begin_record(name) if name in kinds else self.other_new(name))

    def _told_begun(self, kind: str) -> str:
        begun = self.session.begun.get(kind)
        return f"   begun, {amount(len(begun.answered), 'answer')} kept" if begun else ""

    def other_new(self, name: str) -> None:
        """A deed that `choose_new` was given besides kinds of records."""

    def begin_record(self, kind: str, seed: dict[str, Any] | None = None) -> None:
        """Ask for a new record of a kind, going on with one that was begun."""
        begun = self.session.begun.get(kind)
        if begun is not None and seed is None:
            kept = amount(len(begun.answered), "answer")
            options: list[tuple[str, LineLike]] = [(GO_ON, f"go on with the one begun, {kept} kept"),
                                                   (DROP, "begin anew; what was answered is dropped")]  # fmt: skip
            self.choose(f"{kind} begun", options, lambda way: self._go_on(begun) if way == GO_ON else self._anew(kind))
            return
        self._anew(kind, seed)

    def _anew(self, kind: str, seed: dict[str, Any] | None = None) -> None:
        project = self.session.opened.project
        name = OWN_IDS.get(kind) or next_id(project, kind)
        if kind == "design" and not project.designs:
            name = "REF"
        self._go_on(Begun(kind, {"id": name, **(seed or {})}))

    def begin_entry(self, record_id: str, place: str) -> None:
        """Ask for a new entry of a list, or for a part of a record that is not there yet."""
        project = self.session.opened.project
        raw = copy.deepcopy(project.raw[record_id])
        self._go_on(Begun(project.kinds[record_id], raw, record_id, place))

    def _go_on(self, begun: Begun) -> bool | None:
        """Ask what is wanted next, or record; False when it could not be recorded."""
        self.session.begun[begun.name] = begun
        project, model = self.session.opened.project, collection_of_kind(begun.kind).model
        wanted = next_wanted(project, model, _with_place(begun), begun.passed, begun.under)
        if wanted is None:
            return self._finish(begun)
        label = f"{begun.label} {wanted.path.removeprefix(begun.under + '.') if begun.under else wanted.path}"
        if wanted.choices:
            self.choose(label, list(wanted.choices), lambda value: self._answer(begun, wanted, value))
            return None

        def objection(typed: str) -> str:
            if not typed.strip():
                return f"{wanted.path} is needed; type it, or Esc leaves and keeps what was answered" if wanted.needed else ""
            return refused(lambda: with_answer(project, model, begun.raw, wanted.path, typed))

        kind = "remark" if wanted.long else "edit"
        key = f"new {begun.label} {wanted.path}"
        entry = Entry(kind, key, label, unit=wanted.unit, hint=wanted.hint, check=objection, width=30)
        self.ask(entry, lambda typed: self._answer(begun, wanted, typed))
        return None

    def _answer(self, begun: Begun, wanted: Wanted, typed: str) -> bool | None:
        if not typed.strip():
            begun.passed.append(wanted.given_up or wanted.path)
        else:
            project, model = self.session.opened.project, collection_of_kind(begun.kind).model
            try:
                begun.raw = with_answer(project, model, begun.raw, wanted.path, typed)
            except Refusal as refusal:
                self.say(words_of(refusal))
                return self._go_on(begun)
            begun.answered += [] if wanted.path in begun.answered else [wanted.path]
        return self._go_on(begun)

    def _finish(self, begun: Begun) -> bool | None:
        """Record it, False when that fails; where the record as a whole is refused, offer its answers for correction."""
        try:
            change = self._change(begun)
        except Refusal as refusal:
            self.say(words_of(refusal))
            options = [(path, line(Piece(f"{path:<28} ", "key"), "left empty")) for path in begun.passed]
            options += [(path, line(Piece(f"{path:<28} ", "key"), in_words(_value(begun, path)))) for path in begun.answered]
            self.choose("which answer is wrong", options, lambda path: self._ask_anew(begun, path))
            return None
        done = self.record(lambda: change)
        if done:
            self.session.begun.pop(begun.name, None)
            self.recorded_new(begun.label, begun.under)
        return done

    def _change(self, begun: Begun) -> Change:
        project, person = self.session.opened.project, self.session.person
        if not begun.record_id:
            return add_record(project, begun.kind, begun.raw, person)
        told = "; ".join(in_words(_value(begun, path)) for path in begun.answered[:3])
        return replace_record(project, begun.record_id, begun.raw, f"{begun.record_id} {begun.under} added: {told}", person)

    def _ask_anew(self, begun: Begun, path: str) -> None:
        if path in begun.passed:
            begun.passed.remove(path)
            self._go_on(begun)
            return
        steps = _steps(begun, begun.raw, path)
        holder = holder_of(begun.raw, steps)
        if isinstance(holder, dict):
            holder.pop(steps[-1], None)
        begun.answered.remove(path)
        self._go_on(begun)

    def recorded_new(self, record_id: str, place: str = "") -> None:
        """After a record or entry was recorded: its page, where optional fields are filled."""
        self.app.show_record(record_id)  # type: ignore[attr-defined]


def _with_place(begun: Begun) -> dict[str, Any]:
    """The fields, with an empty entry at the place asked for, so that what it needs is missing."""
    if not begun.under:
        return begun.raw
    raw = copy.deepcopy(begun.raw)
    steps = _steps(begun, raw, begun.under)
    if value_at(holder_of(raw, steps), steps[-1]) is None:
        put(raw, steps, {})
    return raw


def _steps(begun: Begun, raw: dict[str, Any], path: str) -> Steps:
    return spot_at(collection_of_kind(begun.kind).model, raw, path).steps


def _value(begun: Begun, path: str) -> Any:
    raw = copy.deepcopy(begun.raw)
    steps = _steps(begun, raw, path)
    return value_at(holder_of(raw, steps), steps[-1])
