"""What a typed value would do, told under the field while it is typed: verdicts, margins, results, signatures."""

from __future__ import annotations

from collections.abc import Sequence

from textual import on, work
from textual.timer import Timer

from dossier.actions.refusal import Refusal, words_of
from dossier.mechanics.shapes import GeometryError
from dossier.store.errors import StoreError
from dossier.store.project import Project
from screens.paint import LineLike
from screens.sheets.editing import Edits
from screens.sheets.trial import Consequences, consequence_lines, consequences, draft_of
from screens.widgets.strip import EntryStrip

PAUSE = 0.15
EDIT = "edit "


class Previews(Edits):
    """A sheet whose edits show their consequences before Enter records them, a short pause after the last key.

    A sheet that draws the draft overrides `show_draft` and `show_recorded`, one that weighs it `weigh`.
    """

    _timer: Timer | None = None
    _trial = 0
    _edited = "", ""
    _last: tuple[Project, Consequences | None] | None = None

    def show_draft(self, draft: Project) -> None:
        """Show the draft where the sheet shows the records. Raises GeometryError."""

    def show_recorded(self) -> None:
        """Show the records again: there is no draft, or one that cannot be."""

    def weigh(self, draft: Project) -> list[float]:
        """Mass in kg before and after, if the sheet tells one."""
        return []

    def told_beside(self, draft: Project) -> Sequence[LineLike]:
        """What the sheet tells of the draft above its consequences, if anything."""
        return ()

    def edit_field(self, record_id: str, path: str) -> None:
        """Ask for the value."""
        self._edited = record_id, path
        super().edit_field(record_id, path)

    @on(EntryStrip.Opened)
    @on(EntryStrip.Changed)
    def _typed(self, message: EntryStrip.Told) -> None:
        entry = message.entry
        if not entry.key.startswith(EDIT):
            return
        self._trial += 1
        if self._timer is not None:
            self._timer.stop()
        if message.text == entry.text:
            self._without_draft("")
            return
        try:
            draft = draft_of(self.session.opened.project, self.field_change(*self._edited, message.text))
            self.show_draft(draft)
        except (Refusal, GeometryError, StoreError, ValueError, KeyError) as error:
            self._without_draft(words_of(error))
            self.say("Not possible as typed: the sheet shows what is recorded.")
            return
        self.frame.strip.show_error("")
        self._tell(draft, None)
        number = self._trial
        self._timer = self.set_timer(PAUSE, lambda: self._work_out(draft, number))
        self.say("Draft: nothing is recorded until Enter.")

    def _without_draft(self, error: str) -> None:
        self._last = None
        self.frame.strip.show_error(error)
        self.frame.strip.show_below([])
        self.show_recorded()

    @on(EntryStrip.Recorded)
    @on(EntryStrip.Left)
    def _over(self, message: EntryStrip.Told) -> None:
        """The draft is gone from the sheet, whatever became of it."""
        self._trial += 1
        self._last = None
        if message.entry.key.startswith(EDIT):
            self.show_recorded()

    @work(thread=True, exclusive=True, group="trial")
    def _work_out(self, draft: Project, number: int) -> None:
        opened = self.session.opened
        found = consequences(opened.view, draft, opened.today, self.session.person)
        self.app.call_from_thread(self._worked_out, draft, found, number)

    def _worked_out(self, draft: Project, found: Consequences, number: int) -> None:
        if number == self._trial and self.frame.strip.is_open:
            self._tell(draft, found)

    def _tell(self, draft: Project, found: Consequences | None) -> None:
        self._last = draft, found
        room = max(self.frame.strip.size.width or self.size.width, 20) - 2
        self.frame.strip.show_below([*self.told_beside(draft), *consequence_lines(self.weigh(draft), found, room)])

    def tell_again(self) -> None:
        """Something that `told_beside` tells has come in."""
        if self._last is not None and self.frame.strip.is_open:
            self._tell(*self._last)
