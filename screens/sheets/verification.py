"""6 Release, verification: was anything altered since it was signed?"""

from __future__ import annotations

from collections.abc import Sequence

from textual import work
from textual.widget import Widget

from dossier.actions.verify import Verification, verify_revision, verify_work
from dossier.store.errors import StoreError
from screens.cells import wrap
from screens.paint import LineLike, Piece, line, state
from screens.session import Session
from screens.sheets.sheet import Sheet
from screens.widgets.house import Page


class VerificationSheet(Sheet):
    """Every check of `dossier verify`, line by line; nothing here can change the project."""

    NUMBER = "6"
    QUESTION = "Was anything altered since it was signed?"
    KEYS = (("back", "back"),)

    def __init__(self, session: Session, letter: str = "") -> None:
        self.letter = letter
        self.found: Verification | None = None
        self.TITLE_WORD = f"Release, verification of {letter or 'the work'}"  # type: ignore[misc]
        super().__init__(session)

    def body(self) -> Sequence[Widget]:
        self.page = Page(id="page")
        return (self.page,)

    def answer(self) -> str:
        return self.found.answer if self.found else "Reading every file anew …"

    def fill(self) -> None:
        self.page.show(self._lines())
        self.page.focus()
        if self.found is None:
            self._verify()

    def record_at_cursor(self) -> str:
        return ""

    def action_back(self) -> None:
        """Back to the sheet before."""
        self.app.pop_screen()

    @work(thread=True, exclusive=True, group="verify")
    def _verify(self) -> None:
        root = self.session.opened.folder.root
        try:
            found = verify_revision(root, self.letter) if self.letter else verify_work(root)
        except (StoreError, OSError, KeyError) as error:
            self.app.call_from_thread(self.say, f"Verification stopped: {error}")
            return
        self.app.call_from_thread(self._show, found)

    def _show(self, found: Verification) -> None:
        self.found = found
        self.frame.set_answer(self.answer())
        self.page.show(self._lines())

    def _lines(self) -> list[LineLike]:
        if self.found is None:
            return [line(Piece(" checking digests, signatures, history, results", "quiet"))]
        lines: list[LineLike] = [line(Piece(f" {'what was checked':<38}{'how much':<27}result", "quiet"))]
        for entry in self.found.lines:
            mark = state("not met" if entry.faults else "met")
            told = Piece(f"{mark.text[0]} {entry.state}", mark.role)
            lines.append(line(f" {entry.what:<38}{entry.count:<27}", told))
            for text, role in (*((fault, "notmet") for fault in entry.faults), (entry.note, "quiet")):
                lines += [line("     ", Piece(part, role)) for part in wrap(text, max(self.page.size.width - 8, 40)) if part]
        lines += ["", line(" The same without this tool: sheet 9 of the document gives two commands.")]
        return lines
