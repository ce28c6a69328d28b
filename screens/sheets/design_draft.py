"""The part of the design's sheet that shows what a typed value would do, while it is typed."""

from __future__ import annotations

from textual import on, work
from textual.timer import Timer

from dossier.actions.refusal import Refusal, words_of
from dossier.mechanics.shapes import GeometryError
from dossier.methods.geometry import shape_of_design
from dossier.records.design import Design
from dossier.store.errors import StoreError
from dossier.store.project import Project
from screens.sheets.buildable import buildable_words
from screens.sheets.editing import Edits, FieldHere
from screens.sheets.trial import Consequences, consequence_lines, consequences, draft_of, masses_of
from screens.widgets.strip import EntryStrip

PAUSE = 0.15
EDIT = "edit "


class Drafts(Edits):
    """Redraws and weighs the draft at every key; margins, results and signatures follow after a short pause.

    The sheet gives `designs()`, `show_parts()` and `show_now()`. `drafted` is the dimension typed while its draft is
    shown; a text that cannot be built shows what is recorded.
    """

    _timer: Timer | None = None
    _trial = 0
    drafted = ""

    def designs(self, project: Project) -> tuple[Design | None, Design | None]:
        """Reference and variant shown, as they are in `project`."""
        raise NotImplementedError

    def show_parts(self, project: Project, draft: bool = False) -> None:
        """Draw and weigh the two parts of `project`. Raises GeometryError."""
        raise NotImplementedError

    def show_now(self, project: Project, draft: bool = False) -> None:
        """Draw and weigh the recorded parts, also where they cannot be built."""
        raise NotImplementedError

    def limits(self, record_id: str, field: FieldHere) -> str:
        """The limits of the form, and for a dimension those the part can be built within."""
        project = self.session.opened.project
        found = buildable_words(project.raw[record_id], field.path) if project.kinds[record_id] == "design" else ""
        return ", ".join(part for part in (field.hint, found) if part)

    def objection(self, record_id: str, path: str, text: str) -> str:
        """As every field's, and for a design also dimensions in conflict."""
        found = super().objection(record_id, path, text)
        if found or not isinstance(self.session.opened.project.find(record_id), Design):
            return found
        try:
            design = draft_of(self.session.opened.project, self.field_change(record_id, path, text)).get(record_id)
            shape_of_design(design)  # type: ignore[arg-type]
        except (GeometryError, ValueError, KeyError) as error:
            return str(error)
        return ""

    def edit_field(self, record_id: str, path: str) -> None:
        """Ask for the value, with the drawing of the draft above it."""
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
            self._show_recorded("")
            return
        try:
            change = self.field_change(*self._edited, message.text)
            draft = draft_of(self.session.opened.project, change)
            self.drafted = self._edited[1]
            self.show_parts(draft, draft=True)
        except (Refusal, GeometryError, StoreError, ValueError, KeyError) as error:
            self._show_recorded(words_of(error))
            self.say("Not possible as typed: list and drawing show what is recorded.")
            return
        self.frame.strip.show_error("")
        self.frame.strip.show_below(consequence_lines(self._mass(draft), None, self._room))
        number = self._trial
        self._timer = self.set_timer(PAUSE, lambda: self._work_out(draft, number))
        self.say("Draft: nothing is recorded until Enter.")

    def _show_recorded(self, error: str) -> None:
        """No draft to show: the records as they are, and what stands against the text."""
        self.drafted = ""
        self.frame.strip.show_error(error)
        self.frame.strip.show_below([])
        self.show_now(self.session.opened.project, draft=True)

    @on(EntryStrip.Recorded)
    @on(EntryStrip.Left)
    def _over(self, message: EntryStrip.Told) -> None:
        """The draft is gone from the sheet, whatever became of it."""
        self._trial += 1
        if message.entry.key.startswith(EDIT):
            self.drafted = ""
            self.fill()

    @work(thread=True, exclusive=True, group="trial")
    def _work_out(self, draft: Project, number: int) -> None:
        opened = self.session.opened
        found = consequences(opened.view, draft, opened.today, self.session.person)
        self.app.call_from_thread(self._tell, draft, found, number)

    def _tell(self, draft: Project, found: Consequences, number: int) -> None:
        if number == self._trial and self.frame.strip.is_open:
            self.frame.strip.show_below(consequence_lines(self._mass(draft), found, self._room))

    @property
    def _room(self) -> int:
        """Columns of the strip's lines."""
        return max(self.frame.strip.size.width or self.size.width, 20) - 2

    def _mass(self, draft: Project) -> list[float]:
        """Mass of the variant before and after, in kg."""
        masses = []
        for project in (self.session.opened.project, draft):
            variant = self.designs(project)[1]
            weighed = masses_of(project, variant) if variant else ""
            masses += [weighed["total"]] if isinstance(weighed, dict) else []
        return masses


