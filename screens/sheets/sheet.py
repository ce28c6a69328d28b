"""What all sheets share: head, answer, title block, the trace keys, the entry strip, taking back."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import ClassVar

from textual import on
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.widget import Widget

from dossier.actions.answer import add_remark
from dossier.actions.calculate import NOTHING, outdated_runs
from dossier.actions.refusal import Refusal, words_of
from dossier.store.change import Change
from dossier.store.errors import StoreError
from dossier.store.revisions import next_letter
from screens import keys
from screens.hints import next_key
from screens.margin import trace_lines
from screens.paint import LineLike
from screens.session import Place, Session
from screens.sheets.find import Finds
from screens.sheets.refusals import NO_USE, SaysWhyNot
from screens.sheets.told import record_line
from screens.widgets.entry import Entry, Option
from screens.widgets.frame import Frame
from screens.widgets.frame_lines import WIDE, TitleBlock
from screens.widgets.house import HouseScreen, Lines
from screens.widgets.sheet_list import SheetList
from screens.widgets.strip import EntryStrip

TRACE_KEYS = ("rests-on", "serves")


class Sheet(Finds, SaysWhyNot, HouseScreen):
    """One of the ten sheets. Subclasses give number, title, question, body, and fill them."""

    NUMBER: ClassVar[str] = ""
    TITLE_WORD: ClassVar[str] = ""
    QUESTION: ClassVar[str] = ""
    STATION: ClassVar[int] = 0
    KEYS: ClassVar[tuple[str | tuple[str, str], ...]] = ()
    BINDINGS: ClassVar[list[BindingType]] = [
        *keys.bind_all("back", "rests-on", "serves", "remark", "take-back", "bring-back", "find", "term", "history"),
        keys.bind("calculate-all"),
        *keys.bind_all(*NO_USE),
    ]

    def __init__(self, session: Session) -> None:
        super().__init__()
        self.session = session
        self.frame = Frame(*self.body(), margin=self.margin(), messages=session.messages)
        self.frame.strip.drafts = session.drafts
        self._on_recorded: Callable[[str], bool | None] | None = None
        self._on_chosen: Callable[[str], None] | None = None
        self._wanted = ""
        self._just_filled = False

    # What subclasses give -------------------------------------------------------------------------------------

    def body(self) -> Sequence[Widget]:
        """The widgets between rule and message."""
        raise NotImplementedError

    def margin(self) -> Sequence[Widget]:
        """The widgets of the left margin from 120 columns on: by default the trace of the record at the cursor."""
        self.trace = Lines(id="trace")
        return (self.trace,)

    def fill(self) -> None:
        """Put today's records into the widgets; called at every showing and after every change."""
        raise NotImplementedError

    def answer(self) -> str:
        """The computed answer of row 2."""
        raise NotImplementedError

    def record_at_cursor(self) -> str:
        """Id of the record under the cursor, empty without one."""
        found = next(iter(self.query(SheetList)), None)
        return (found.row_id or "") if found else ""

    def go_to(self, record_id: str) -> None:
        """Put the cursor on a record."""
        for found in self.query(SheetList):
            found.go_to(record_id)

    def why_not(self, key_id: str) -> str:
        """Why a key of this sheet cannot do its deed now, for key row and list of actions; nothing when it can."""
        record, project = self.record_at_cursor(), self.session.opened.project
        if key_id in TRACE_KEYS:
            targets, word = (project.rests_on, "rests on") if key_id == "rests-on" else (project.serves, "serves")
            if not record:
                return "No record under the cursor."
            return "" if any(name in project.records for name in targets(record)) else f"{record} {word} nothing."
        if key_id == "calculate" and not self.to_calculate():
            return NO_USE["calculate"]
        return ""

    def keys_now(self) -> Sequence[str | tuple[str, str]]:
        """The keys of the bottom row, as the sheet is now."""
        return self.KEYS

    def show_keys(self) -> None:
        """The first keys that do something are shown; the list of actions tells why the others do not."""
        pairs = [(item, item) if isinstance(item, str) else (item[0], item) for item in self.keys_now()]
        usable = [shown for key_id, shown in pairs if not self.why_not(key_id)]
        self.frame.set_keys(*usable[: keys.MOST_IN_ROW])

    def field_help(self) -> Sequence[LineLike]:
        """About the field under the cursor, for the help page; by default the fields of the record there."""
        from screens.sheets.field_help import record_fields

        return record_fields(self.session, self.record_at_cursor())

    # The frame ------------------------------------------------------------------------------------------------

    def compose(self) -> ComposeResult:
        """The frame."""
        yield self.frame

    def on_mount(self) -> None:
        """First showing."""
        self.refill()
        self._just_filled = True

    def on_screen_resume(self) -> None:
        """Shown again: the records may have changed on another sheet."""
        if self._just_filled:
            self._just_filled = False
        elif self.is_mounted:
            asking = self.focused is self.frame.strip
            self.refill()
            if asking:
                self.frame.strip.ask_again()

    def refill(self) -> None:
        """Head, answer, title block, keys and body from the records as they are now."""
        self.frame.set_head(f"{self.NUMBER} {self.TITLE_WORD}".strip(), self.QUESTION)
        self.fill()
        self.show_answer()
        self.frame.set_title_block(title_block(self.session))
        self.frame.set_hint(next_key(self.session, self.STATION))
        wanted, self._wanted = self._wanted, ""
        if wanted:
            self.go_to(wanted)
        self.show_keys()
        self.show_trace()
        self.frame.refresh_message()

    @on(SheetList.Moved)
    def _row_changed(self) -> None:
        self.show_keys()
        self.show_trace()

    def show_trace(self) -> None:
        """The trace of the record at the cursor, in the margin of sheets that keep it there."""
        trace = getattr(self, "trace", None)
        if isinstance(trace, Lines) and self.app.size.width >= WIDE:
            trace.show(trace_lines(self.session, self.record_at_cursor()))

    def on_resize(self) -> None:
        """The margin may have come into view."""
        if self._just_filled or self.is_mounted:
            self.show_trace()

    def show_answer(self) -> None:
        """The answer of row 2, with how many rows a search has left."""
        self.frame.set_answer(" ".join(part for part in (self.narrowed(), self.answer()) if part))

    def want(self, record_id: str) -> None:
        """Put the cursor on a record, as soon as the sheet is filled."""
        if self.is_mounted and self.app.screen is self:
            self.go_to(record_id)
        else:
            self._wanted = record_id

    def say(self, text: str, record: str = "") -> None:
        """A message in the message row."""
        self.frame.message(text, record)

    def record(self, make: Callable[[], Change]) -> bool:
        """Make a change and record it; a refusal becomes a message. True when it was recorded."""
        try:
            change = make()
        except (Refusal, StoreError, KeyError, OSError) as error:
            self.say(words_of(error))
            return False
        done = self.session.record(change)
        self.refill()
        return done

    # The entry strip ------------------------------------------------------------------------------------------

    def ask(self, entry: Entry, recorded: Callable[[str], bool | None]) -> None:
        """Open the strip for a text; `recorded` gets it after Enter and returns False when it could not be recorded."""
        self._on_recorded, self._on_chosen = recorded, None
        self.frame.strip.open(entry)
        if self.session.read_only:
            self.say(f"Read-only: {self.session.lock.reason or 'opened to look'}. What you type is kept as a draft only.")

    def choose(self, label: str, options: Sequence[tuple[str, LineLike]], chosen: Callable[[str], None]) -> None:
        """Open the strip with options; `chosen` gets the id of the one taken."""
        self._on_recorded, self._on_chosen = None, chosen
        entry = Entry("choice", f"choice {label}", label, options=[Option(name, text) for name, text in options])
        self.frame.strip.open(entry)

    @on(EntryStrip.Changed)
    def _changed(self, message: EntryStrip.Changed) -> None:
        if message.entry.kind == "find":
            self.find_changed(message)

    @on(EntryStrip.Entered)
    def _entered(self, message: EntryStrip.Entered) -> None:
        strip, entry = self.frame.strip, message.entry
        if entry.kind == "find":
            strip.settle(entry)
            self.keep_found(message.text)
        elif self._on_recorded and self._on_recorded(message.text) is False:
            strip.refuse(entry, self.session.messages.newest)
        elif strip.entry is entry:
            strip.settle(entry)

    @on(EntryStrip.Chosen)
    def _chosen(self, message: EntryStrip.Chosen) -> None:
        if message.entry.kind == "find":
            self.go_to_found(message.option)
        elif self._on_chosen:
            self._on_chosen(message.option)

    @on(EntryStrip.Left)
    def _left(self, message: EntryStrip.Left) -> None:
        if message.entry.kind == "find":
            self.show_all_again()
        elif message.kept:
            self.say("Draft kept; the same key continues it.")

    # Keys of every sheet --------------------------------------------------------------------------------------

    def action_back(self) -> None:
        """Out of a narrowed list to all its rows, else one back on the path walked."""
        if self.app.running is not None or not self.widened():  # type: ignore[attr-defined]
            self.app.go_back()  # type: ignore[attr-defined]

    def action_rests_on(self) -> None:
        """Down the trace."""
        self._walk(self.session.opened.project.rests_on, "rests on nothing yet", "rests on")

    def action_serves(self) -> None:
        """Up the trace."""
        self._walk(self.session.opened.project.serves, "serves nothing", "serves")

    def _walk(self, targets_of: Callable[[str], list[str]], none: str, word: str) -> None:
        record = self.record_at_cursor()
        if not record:
            self.say("No record under the cursor.")
            return
        targets = [target for target in targets_of(record) if target in self.session.opened.project.records]
        if not targets:
            self.say(f"{record} {none}.", record)
        elif len(targets) == 1:
            self.app.go(targets[0])  # type: ignore[attr-defined]
        else:
            options = [(target, record_line(self.session, target)) for target in targets]
            self.choose(f"{record} {word}", options, self.app.go)  # type: ignore[attr-defined]

    def action_remark(self) -> None:
        """A remark on the record under the cursor."""
        record = self.record_at_cursor()
        if not record:
            self.say("No record under the cursor to remark on.")
            return
        step = self.NUMBER if self.NUMBER in "123456" and self.NUMBER else "6"
        project = self.session.opened.project
        entry = Entry("remark", f"remark {record}", f"remark on {record}", check=lambda t: "" if t.strip() else "empty")
        self.ask(entry, lambda text: self.record(lambda: add_remark(project, record, text, self.session.person, step)))

    def action_edit(self) -> None:
        """The page of the record under the cursor, where its fields are changed."""
        record = self.record_at_cursor()
        if record in self.session.opened.project.records:
            self.app.show_record(record)  # type: ignore[attr-defined]
        else:
            self.say(NO_USE["edit"])

    def action_take_back(self) -> None:
        """Take the newest change of this person back."""
        self.session.take_back()
        self.refill()

    def action_bring_back(self) -> None:
        """Bring back what was taken back."""
        self.session.take_back(bring=True)
        self.refill()

    def to_calculate(self) -> list[str]:
        """Ids of what `c` calculates: the record at the cursor, if it has a result to calculate."""
        record = self.record_at_cursor()
        return [record] if self.session.opened.project.kinds.get(record) in ("calculation", "evidence") else []

    def action_calculate(self) -> None:
        """Calculate what is at the cursor."""
        ids = self.to_calculate()
        if ids:
            self.app.calculate(ids)  # type: ignore[attr-defined]
        else:
            self.say(NO_USE["calculate"])

    def action_calculate_all(self) -> None:
        """Calculate everything outdated."""
        ids = outdated_runs(self.session.opened.project)
        if ids:
            self.app.calculate(ids)  # type: ignore[attr-defined]
        else:
            self.say(NOTHING)

    def action_history(self) -> None:
        """The changes of the record under the cursor, on sheet 8."""
        record = self.record_at_cursor()
        if record:
            self.app.show_history(record)  # type: ignore[attr-defined]
        else:
            self.say("No record under the cursor; 8 shows all changes.")

    def place(self) -> Place:
        """Where the person is."""
        return Place(self.NUMBER, self.place_record())

    def place_record(self) -> str:
        """The record that brings one back here; before the first showing none."""
        return self.record_at_cursor() if self.is_mounted else ""


def title_block(session: Session) -> TitleBlock:
    """The title block of the project."""
    project = session.opened.project
    header, variant, reference = project.header, project.variant, project.reference
    numbers = [f"{variant.part_number} {variant.id}".strip()] if variant else []
    numbers += [f"reference {reference.part_number or reference.id}"] if reference else []
    long = " : ".join(numbers)
    letter = next_letter(session.opened.folder.root)
    return TitleBlock(
        header.short_title or header.title[:24],
        (f"{variant.id if variant else '-'} : ref.", long or "no design yet"),
        (f"work on {letter}", f"work on {letter}"),
        f"{session.person} {session.role}".strip(),
        [_block_state(step) for step in session.standing.steps],
        "read-only" if session.read_only else "saved",
    )


def _block_state(step) -> str:
    if step.state == "in work" and step.counts["not met"]:
        return "not met"
    return step.state
