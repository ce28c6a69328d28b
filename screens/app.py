"""The application: one project, ten sheets, the path walked between them."""

from __future__ import annotations

from pathlib import Path

from dossier.actions.refusal import Refusal
from dossier.actions.run import run_calculations
from screens.base import HouseApp
from screens.session import Session
from screens.sheets.sheet import Sheet


class DossierApp(HouseApp):
    """`root` is a project's folder; `person` acts."""

    def __init__(
        self, root: Path, person: str = "", *, appearance: str = "slate", plain_glyphs: bool | None = None
    ) -> None:
        super().__init__(appearance, plain_glyphs)
        self.session = Session(root, person)
        self._sheets: dict[str, Sheet] = {}

    def on_mount(self) -> None:
        """Start where the project stands."""
        self.push_screen(self._sheet("0"))

    def on_unmount(self) -> None:
        """Give the project back."""
        self.session.close()

    def _sheet(self, number: str) -> Sheet:
        if number not in self._sheets:
            from screens.sheets.book import sheet_class

            self._sheets[number] = sheet_class(number)(self.session)
        return self._sheets[number]

    @property
    def here(self) -> Sheet | None:
        """The sheet that is shown."""
        return self.screen if isinstance(self.screen, Sheet) else None

    def action_sheet(self, number: int) -> None:
        """Go to a sheet, where one last was on it."""
        self._show(str(number))

    def go(self, record_id: str) -> None:
        """Go to the sheet of a record, with the cursor on it."""
        self._show(self.session.sheet_of(record_id), record_id)

    def go_back(self) -> None:
        """One back on the path; at its beginning leaving is asked for."""
        if not self.session.path:
            self.action_leave()
            return
        place = self.session.path.pop()
        self._show(place.sheet, place.record, remember=False)

    def _show(self, number: str, record_id: str = "", *, remember: bool = True) -> None:
        here = self.here
        if here is not None and remember:
            self.session.walked(here.place())
        target = self._sheet(number)
        if here is not target:
            if here is None:
                self.push_screen(target)
            else:
                self.switch_screen(target)
        if record_id:
            self.call_after_refresh(target.go_to, record_id)

    def calculate(self, ids: list[str]) -> None:
        """Run calculations and record their results."""
        here = self.here
        try:
            change = run_calculations(self.session.opened.project, ids, self.session.person)
        except Refusal as error:
            self.session.messages.add(str(error))
        else:
            self.session.record(change)
        if here is not None:
            here.refill()
