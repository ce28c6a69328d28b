"""Bringing results of tests into evidence items: files with a preview, values, the state of a test, reading schemes."""

from __future__ import annotations

import glob
from collections.abc import Callable, Sequence
from datetime import date
from pathlib import Path
from typing import Any

from dossier.actions import measured
from dossier.actions.curve_files import fitting_schemes
from dossier.actions.edit import next_id
from dossier.actions.refusal import Refusal
from dossier.actions.scheme_settings import EXAMPLES, STATIC_EXAMPLE, STATIC_MORE, settings_known, typed_static
from dossier.actions.shape import carry_over
from dossier.methods.evidence_links import WITH_FILES, counted
from dossier.methods.shape import older_shapes
from dossier.records.evidence import EvidenceItem, SchemeRecord, Specimen
from screens.cells import wrap
from screens.paint import LineLike, Piece, line
from screens.sheets.asking import Asks
from screens.sheets.editing import refused
from screens.widgets.entry import Entry

KINDS = ("evidence", "specimen", "equipment", "document")
FILES, VALUE, SCHEME, CARRY = "files", "value", "scheme", "carry"
ENDS = ("aborted", "invalid")
MOST_TOLD = 5
DONE = "has a result"
# What is typed for one specimen, where it is more than a value.
ASKED = {
    "yes_no": "passed or failed",
    "adhesion": "the value; behind a semicolon the shares, such as R=95 RC=5",
    "single": "the value, > before a load that did not break it",
    "life": "the life, > before it where it was stopped without failure",
    "staircase": "the load, > before it where it was borne to the end",
    "sn_line": "life at load, such as 4e5 at 21 kN, > before it where it was stopped",
}


class Brings(Asks):
    """The part of the evidence sheet that takes results in."""

    def __init__(self, *given: Any, **named: Any) -> None:
        super().__init__(*given, **named)
        self._typed_files: dict[str, str] = {}
        self._read: dict[str, tuple[list[str], str, dict[str, list[str]]]] = {}

    def item_at_cursor(self) -> EvidenceItem | None:
        """The evidence item under the cursor."""
        found = self.session.opened.project.find(self.record_at_cursor())
        return found if isinstance(found, EvidenceItem) else None

    def action_new(self) -> None:
        """Results for the item under the cursor, or a new record of this step."""
        item, others = self.item_at_cursor(), []
        if item is not None and item.quantity in WITH_FILES:
            others.append((FILES, f"measured files into {item.id} {item.title}"))
        elif item is not None:
            others.append((VALUE, f"the result of one specimen into {item.id} {item.title}"))
        others.append((SCHEME, "a reading scheme, from a measured file"))
        self.choose_new(KINDS, others)

    def other_new(self, name: str) -> None:
        """Files, a value or a scheme."""
        deeds: dict[str, Callable[[], None]] = {FILES: self._bring_files, VALUE: self._bring_value, SCHEME: self._new_scheme}
        deeds[name]()

    def action_edit(self) -> None:
        """The state of the item under the cursor, or its fields."""
        item = self.item_at_cursor()
        if item is None:
            super().action_edit()
            return
        states = [state for state in ("running", "finished", *ENDS) if state != item.state]
        options: list[tuple[str, LineLike]] = [(state, f"{item.id} is {state}; it is {item.state} now") for state in states]
        if older_shapes(self.session.opened.project, item, counted(item)):
            options.insert(0, (CARRY, f"the result of {item.id} holds for today's shape, for a reason"))
        self.choose(f"change {item.id}", [("fields", f"the fields of {item.id}"), *options], self._change_item)

    def _change_item(self, way: str) -> None:
        item = self.item_at_cursor()
        if item is None:
            return
        if way == "fields":
            super().action_edit()
        elif way == CARRY:
            self._typed(f"{item.id} holds because", "why the change does not touch what was measured",
                        lambda why: self._carry(item.id, why))  # fmt: skip
        elif way in ENDS:
            self._typed(f"{item.id} why {way}", "why; a started test is never deleted", lambda why: self._state(item, way, why))
        else:
            self._state(item, way, "")

    def _carry(self, item: str, why: str) -> bool:
        project, person, today = self.session.opened.project, self.session.person, date.today().isoformat()
        return self.record(lambda: carry_over(project, [item], why, person, today))

    def _state(self, item: EvidenceItem, state: str, reason: str) -> None:
        def objection(day: str) -> str:
            return refused(lambda: measured.set_state(self.session.opened.project, item.id, state, "x", day, reason))

        entry = Entry("edit", f"state {item.id} {state}", f"{item.id} {state} on", date.today().isoformat(), hint="the day",
                      check=objection, width=14)  # fmt: skip
        self.ask(entry, lambda day: self.record(lambda: measured.set_state(
            self.session.opened.project, item.id, state, self.session.person, day.strip(), reason)))  # fmt: skip

    # Values -------------------------------------------------------------------------------------------------------

    def _bring_value(self) -> None:
        item = self.item_at_cursor()
        if item is None:
            return
        parts = [s for s in self.session.opened.project.of_kind(Specimen) if s.design in (item.variant, item.reference)]
        done = {sample.specimen for sample in item.samples}
        if not parts:
            named = " and ".join(filter(None, (item.variant, item.reference))) or "the tested design"
            self.say(f"No specimen of {named} is registered; n adds one.", item.id)
            return
        parts.sort(key=lambda part: part.id in done)
        choices: list[tuple[str, LineLike]] = [
            (s.id, line(Piece(f"{s.id:<8}", "key"), f"{s.design} {s.batch}   ", Piece(DONE if s.id in done else "", "quiet")))
            for s in parts
        ]
        self._when_begun(item, lambda begun: self.choose(
            f"{begun.id} specimen", choices, lambda specimen: self._value_of(begun, specimen)))  # fmt: skip

    def _value_of(self, item: EvidenceItem, specimen: str) -> None:
        def make(text: str, author: str):
            value, _, seen = text.partition(";")
            survived = item.quantity in measured.STOPPABLE and value.strip().startswith(">")
            value, _, load = value.strip().removeprefix(">" * survived).partition(" at ")
            shares: list[str] = []
            if item.quantity == "adhesion":
                shares_text, _, seen = seen.partition(";")
                shares = shares_text.split()
            project = self.session.opened.project
            return measured.record_value(project, item.id, specimen, value.strip(), author, seen.strip(), survived, load.strip(),
                                         shares)  # fmt: skip

        yes_no, hint = item.quantity == "yes_no", ASKED.get(item.quantity, "the value")
        entry = Entry("edit", f"value {item.id} {specimen}", f"{item.id} {specimen}", unit="" if yes_no else item.unit,
                      hint=f"{hint}; behind a semicolon what was seen", check=lambda t: refused(lambda: make(t, "x")),
                      width=24)  # fmt: skip
        self.ask(entry, lambda text: self.record(lambda: make(text, self.session.person)))

    # Files --------------------------------------------------------------------------------------------------------

    def _bring_files(self) -> None:
        item = self.item_at_cursor()
        if item is None:
            return
        if item.id in self._read:
            self._offer(item.id, *self._read.pop(item.id))
        elif item.scheme or self.session.opened.project.of_kind(SchemeRecord):
            self._when_begun(item, self._files)
        else:
            self.say("No reading scheme yet; n makes one from a measured file.", item.id)

    def _when_begun(self, item: EvidenceItem, then: Callable[[EvidenceItem], None]) -> None:
        """Go on with the item; of a planned one ask first on which day it began."""
        if item.state != "planned":
            then(item)
            return

        def begun(day: str) -> bool:
            project, person = self.session.opened.project, self.session.person
            done = self.record(lambda: measured.set_state(project, item.id, "running", person, day.strip()))
            found = self.session.opened.project.find(item.id)
            if done and isinstance(found, EvidenceItem):
                then(found)
            return done

        def check(day: str) -> str:
            return refused(lambda: measured.set_state(self.session.opened.project, item.id, "running", "x", day.strip()))

        entry = Entry("edit", f"begun {item.id}", f"{item.id} began on", date.today().isoformat(), width=14, check=check,
                      hint="the day; then its results are asked for")  # fmt: skip
        self.ask(entry, begun)

    def _files(self, item: EvidenceItem) -> None:
        def objection(text: str) -> str:
            return "" if _paths(text) else f"{text or 'nothing'} names no file; type paths with ; between, * is any letters"

        hint = "paths with ; between; a name that holds no specimen: P-201=path"
        entry = Entry("edit", f"files {item.id}", f"{item.id} files", self._typed_files.get(item.id, ""), hint=hint,
                      check=objection, width=40)  # fmt: skip
        self.ask(entry, lambda text: self._read_by(item, text))

    def _read_by(self, item: EvidenceItem, text: str) -> None:
        self._typed_files[item.id] = text
        pairs = _paths(text)
        if item.scheme:
            self._begin_reading(item, pairs, item.scheme)
        else:
            self.choose(f"{item.id} is read by", self._schemes_for(pairs[0]),
                        lambda scheme: self._begin_reading(item, pairs, scheme))  # fmt: skip

    def _schemes_for(self, pair: str) -> list[tuple[str, LineLike]]:
        """All reading schemes, first those that fit the file."""
        project = self.session.opened.project
        try:
            form = measured.told_form(Path(pair if Path(pair).is_file() else pair.partition("=")[2])).form
            fitting = {scheme.id for scheme in fitting_schemes(project, form)}
        except Refusal:
            fitting = set()
        schemes = sorted(project.of_kind(SchemeRecord), key=lambda scheme: scheme.id not in fitting)
        return [
            (scheme.id, line(f"{scheme.id}  {scheme.title}", Piece("   fits the file" * (scheme.id in fitting), "quiet")))
            for scheme in schemes
        ]

    def _begin_reading(self, item: EvidenceItem, pairs: list[str], scheme: str) -> None:
        def then(last: dict[str, Any]) -> None:
            self._previewed(item.id, pairs, scheme, last["preview"])

        self.app.read_files(item.id, scheme, pairs, then, lambda reason: self._ask_again(item, reason))  # type: ignore[attr-defined]

    @property
    def _free(self) -> bool:
        """Whether a question can be asked without taking one away."""
        return self.app.here is self and not self.frame.strip.is_open  # type: ignore[attr-defined]

    def _ask_again(self, item: EvidenceItem, reason: str) -> None:
        if self._free:
            self._files(item)
            self.frame.strip.show_error(reason)

    def _previewed(self, item_id: str, pairs: list[str], scheme: str, found: dict[str, list[str]]) -> None:
        if self._free:
            self._offer(item_id, pairs, scheme, found)
        else:
            self._read[item_id] = pairs, scheme, found
            self.session.messages.add(f"The files of {item_id} are read; n on {item_id} shows what they hold.")

    def _offer(self, item_id: str, pairs: list[str], scheme: str, found: dict[str, list[str]]) -> None:
        """What the files hold, and whether they are taken in."""
        number = f"{len(found['told'])} file{'s' if len(found['told']) > 1 else ''}"
        take = f"the sizes are right, take {number} in" if found["questions"] else f"take {number} in"
        self.choose(f"{item_id}: {number} read", [("take", take), ("", "leave them")],
                    lambda way: self._take(item_id, pairs, scheme) if way else self.say("Nothing was taken in."))  # fmt: skip
        asked = [part for text in found["questions"] for part in wrap(text, max(self.size.width - 3, 20))]
        whole = [part for text in found["told"] for part in wrap(text, max(self.size.width - 3, 20))]
        told = [*asked, *(whole if len(asked) + len(whole) <= MOST_TOLD else found["told"])]
        shown = told[:MOST_TOLD] + ([f"and {len(told) - MOST_TOLD} more"] if len(told) > MOST_TOLD else [])
        self.say(f"{number} read; nothing is taken in yet.", item_id)
        self.frame.strip.show_below([Piece(text, "quiet") for text in shown])

    def _take(self, item_id: str, pairs: list[str], scheme: str) -> None:
        def taken(last: dict[str, Any]) -> None:
            self._typed_files.pop(item_id, None)
            self.frame.strip.drafts.pop(f"files {item_id}", None)

        item = self.session.opened.project.find(item_id)
        named = "" if getattr(item, "scheme", "") == scheme else scheme
        self.app.take_files(item_id, named, pairs, taken)  # type: ignore[attr-defined]

    # Reading schemes ----------------------------------------------------------------------------------------------

    def _new_scheme(self) -> None:
        def objection(text: str) -> str:
            return refused(lambda: measured.told_form(Path(text.strip()).expanduser()))

        entry = Entry("edit", "scheme file", "measured file", hint="path of a file as the machine writes it", check=objection,
                      width=40)  # fmt: skip
        self.ask(entry, lambda text: self._columns(Path(text.strip()).expanduser()))

    def _columns(self, file: Path) -> None:
        form = measured.told_form(file)
        hint = "Enter takes them as found; else force=2:kN displacement=3:mm"
        self._typed("columns", hint, lambda text: self._title(file, text.split()), empty=True)
        self.frame.strip.show_below([Piece(text, "quiet") for text in (*form.lines[1:], *form.doubts)])

    def _title(self, file: Path, columns: list[str]) -> None:
        hint = "machine, direction, form of its files"
        self._typed("title of the scheme", hint, lambda title: self._between(file, columns, title))

    def _between(self, file: Path, columns: list[str], title: str) -> None:
        ways = [("load", "the slope between two loads"), ("travel", "the slope between two travels or angles"),
                ("dynamic", "harmonic records: stiffness and loss angle"), ("durability", "stiffness over cycles: life"),
                ("load_history", "load histories: damage"), ("press", "press-in and push-out curves")]  # fmt: skip
        self.choose("evaluated", ways, lambda way: self._evaluated(file, columns, title, way))

    def _evaluated(self, file: Path, columns: list[str], title: str, way: str) -> None:
        if way not in EXAMPLES:
            self._range(file, columns, title, way)
            return
        project = self.session.opened.project
        name = next_id(project, "reading scheme")

        def make(text: str, author: str):
            return measured.new_scheme(project, name, file, title, "", "", author, columns=columns, kind=way,
                                       settings=text.split(";"))  # fmt: skip

        entry = Entry("edit", f"settings {name}", f"{way} settings", hint=f"such as {EXAMPLES[way]}",
                      check=lambda text: refused(lambda: make(text, "x")), width=48)  # fmt: skip
        self.ask(entry, lambda text: self.record(lambda: make(text, self.session.person)))
        self._below([settings_known(way)])

    def _range(self, file: Path, columns: list[str], title: str, between: str) -> None:
        project = self.session.opened.project
        name = next_id(project, "reading scheme")

        def make(text: str, author: str):
            low, high, static = typed_static(text)
            return measured.new_scheme(project, name, file, title, low, high, author, between=between, columns=columns,
                                       static=static)  # fmt: skip

        hint = f"both ends; behind a semicolon the evaluated cycle, such as {STATIC_EXAMPLE}"
        entry = Entry("edit", "scheme range", f"{name} range", hint=hint,
                      check=lambda text: refused(lambda: make(text, "x")), width=40)  # fmt: skip
        self.ask(entry, lambda text: self.record(lambda: make(text, self.session.person)))
        self._below([STATIC_MORE])

    def _below(self, texts: Sequence[str]) -> None:
        """Quiet lines under the entry that is asked."""
        lines = [part for text in texts for part in wrap(text, max(self.size.width - 3, 20))]
        self.frame.strip.show_below([Piece(text, "quiet") for text in lines])

    def _typed(self, label: str, hint: str, then: Callable[[str], None], *, empty: bool = False) -> None:
        def objection(text: str) -> str:
            return "" if empty or text.strip() else f"{label} is empty; type it, or Esc leaves"

        self.ask(Entry("edit", label, label, hint=hint, check=objection, width=34), lambda text: then(text.strip()))


def _paths(text: str) -> list[str]:
    """The files that a typed text names, in order; a star stands for any characters of a name."""
    found: list[str] = []
    for part in filter(None, (piece.strip() for piece in text.split(";"))):
        specimen, sign, path = part.rpartition("=")
        path = str(Path(path).expanduser())
        names = sorted(glob.glob(path)) if glob.has_magic(path) else [path]
        found += [f"{specimen}{sign}{name}" for name in names if Path(name).is_file()]
    return found
