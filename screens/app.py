"""The application: the list of projects, or one project with its ten sheets and the path walked between them."""

from __future__ import annotations

from pathlib import Path

from dossier.actions.refusal import Refusal
from dossier.store.errors import StoreError
from screens.base import HouseApp
from screens.landing import landing, newest_revision
from screens.overlay_actions import OverlayActions
from screens.overlays import Overlay
from screens.session import Session
from screens.sheets.sheet import Sheet
from screens.widgets.house import HouseScreen
from screens.widgets.modal import Question
from screens.widgets.question import Asked
from screens.work_actions import WorkActions


def is_project(folder: Path) -> bool:
    """Whether a folder is a project rather than a folder of projects."""
    return (folder / "project.toml").exists() or (folder / "history.git").exists()


class DossierApp(WorkActions, OverlayActions, HouseApp):
    """`root` is a project's folder, or a folder of projects; `person` acts."""

    def __init__(
        self, root: Path, person: str = "", *, appearance: str = "slate", plain_glyphs: bool | None = None,
        land: bool = False,
    ) -> None:  # fmt: skip
        super().__init__(appearance, plain_glyphs)
        self.root, self.person, self.land = Path(root), person, land
        self.session: Session | None = Session(self.root, person) if is_project(self.root) else None
        self.projects: HouseScreen | None = None
        self.running = None
        self._sheets: dict[str, Sheet] = {}

    def on_mount(self) -> None:
        """Start where the project stands, on what is asked of the person, or with the list of projects."""
        if self.session is None:
            from screens.sheets.projects import ProjectsScreen

            self.projects = ProjectsScreen(self.root, self.person)
            self.push_screen(self.projects)
        else:
            self._enter()

    def on_unmount(self) -> None:
        """Give the project back and end work that runs."""
        if self.running is not None:
            self.running.stop()
        if self.session is not None:
            self.session.close()

    # Projects ---------------------------------------------------------------------------------------------------

    def open_project(self, root: Path) -> str:
        """Open a project over the list of projects; returns why it cannot be, or nothing."""
        try:
            self.session = Session(root, self.person)
        except (StoreError, Refusal, OSError) as error:
            return str(error)
        self._enter()
        return ""

    def _enter(self) -> None:
        session = self.session
        if session is None:
            return
        if session.read_only:
            session.messages.add(f"Read-only: {session.lock.reason}.")
        elif session.opened.snapshot.foreign:
            number = len(session.opened.snapshot.foreign)
            session.messages.add(f"Files edited outside the tool: {number}. 8 shows what; there a takes in, w restores.")
        number = landing(session) if self.land or self.projects else "0"
        self._show(number)
        letter = newest_revision(session)
        if number == "6" and letter:
            from screens.sheets.verification import VerificationSheet

            self.push_screen(VerificationSheet(session, letter))

    def _leave_project(self) -> None:
        while isinstance(self.screen, Sheet | Overlay):
            self.pop_screen()
        for sheet in self._sheets.values():
            self.uninstall_screen(sheet)
            sheet.remove()
        self._sheets = {}
        if self.session is not None:
            self.session.close()
        self.session = None

    # Sheets and the path between them -----------------------------------------------------------------------------

    def _sheet(self, number: str) -> Sheet:
        if number not in self._sheets:
            from screens.sheets.book import sheet_class

            sheet = sheet_class(number)(self.session)  # type: ignore[arg-type]
            self.install_screen(sheet, f"sheet-{number}")
            self._sheets[number] = sheet
        return self._sheets[number]

    @property
    def here(self) -> Sheet | None:
        """The sheet that is shown."""
        return self.screen if isinstance(self.screen, Sheet) else None

    def action_sheet(self, number: int) -> None:
        """Go to a sheet, where one last was on it; 7 shows the trace of the record one comes from."""
        self._close_overlays()
        if self.session is None or isinstance(self.screen, Question):
            return
        from_record = self.here.record_at_cursor() if self.here else ""
        self._show(str(number), from_record if number == 7 else "")

    def go(self, record_id: str) -> None:
        """Go to the sheet of a record, with the cursor on it."""
        if self.session is not None:
            self._show(self.session.sheet_of(record_id), record_id)

    def go_back(self) -> None:
        """Stop long work; else one back on the path; at its beginning, sheet 0, leaving is asked for."""
        if self.running is not None and not self.running.stopped:
            self.running.stop()
            return
        session, here = self.session, self.here
        if session is not None and session.path:
            place = session.path.pop()
            self._show(place.sheet, place.record, remember=False)
        elif here is not None and here.NUMBER != "0":
            self._show("0", remember=False)
        else:
            self.action_leave()

    def _show(self, number: str, record_id: str = "", *, remember: bool = True) -> None:
        here = self.here
        target = self._sheet(number)
        if here is not None and remember and self.session is not None:
            place = here.place()
            if (place.sheet, place.record) != (number, record_id or target.place_record()):
                self.session.walked(place)
        if record_id:
            target.want(record_id)
        while isinstance(self.screen, Sheet) and self.screen not in self._sheets.values():
            self.pop_screen()
        if self.screen is target:
            return
        if isinstance(self.screen, Sheet):
            self.switch_screen(target)
        else:
            self.push_screen(target)

    def show_history(self, record_id: str) -> None:
        """The changes of one record, on sheet 8."""
        self._show("8")
        self._sheet("8").show_only(record_id)  # type: ignore[attr-defined]

    def show_working(self, record_id: str) -> None:
        """The working of a calculation or a measured value, over the sheet where its number stands."""
        from screens.sheets.measured_working import MeasuredWorkingSheet
        from screens.sheets.working import WorkingSheet

        if self.session is not None:
            measured = self.session.opened.project.kinds.get(record_id) == "evidence"
            self.push_screen((MeasuredWorkingSheet if measured else WorkingSheet)(self.session, record_id))

    def show_record(self, record_id: str) -> None:
        """The page of one record, over the sheet one is on."""
        from screens.sheets.record import RecordSheet

        if self.session is not None:
            self.push_screen(RecordSheet(self.session, record_id))

    def show_register(self) -> None:
        """All records, over the trace."""
        from screens.sheets.register import RegisterSheet

        if self.session is not None:
            self.push_screen(RegisterSheet(self.session))

    # Leaving ------------------------------------------------------------------------------------------------------

    def action_leave(self) -> None:
        """Ask before leaving the project, or the program."""
        if isinstance(self.screen, Question):
            return
        self._close_overlays()
        running = self.running is not None
        to_list = self.session is not None and self.projects is not None
        title = "Leave the project?" if to_list else "Leave the program?"
        told = f"{self.running.told}; leaving drops it. " if self.running is not None else ""
        body = f"{told}Everything recorded is kept; drafts in the entry strips are dropped."
        asked = Asked(title, body, "leave", "stay", irreversible=running)
        self.push_screen(Question(asked), self._left)

    def _left(self, answer: dict[str, str] | None) -> None:
        if answer is None:
            return
        if self.running is not None:
            self.running.stop()
        if self.session is not None and self.projects is not None:
            self._leave_project()
        else:
            self.exit()


