"""6 Release: can this revision be frozen and handed over?"""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual import on
from textual.binding import BindingType
from textual.widget import Widget

from dossier.actions.refusal import Refusal
from dossier.checks.told import sheet_answer
from dossier.store.revisions import letters, next_letter
from screens import keys
from screens.glyphs import STEP_STATES
from screens.paint import LineLike, Piece, line, state
from screens.sheets.passphrase import passphrase_of
from screens.sheets.sheet import Sheet
from screens.widgets.columns import Column
from screens.widgets.house import Lines
from screens.widgets.modal import Question
from screens.widgets.question import Asked
from screens.widgets.sheet_list import Row, SheetList

CHAPTERS = {
    "1": "statement and conditions of use",
    "2": "requirements with decisions",
    "3": "design, assumptions, limits",
    "4": "evidence, equivalence, failed tests",
    "5": "cost and CO2",
    "6": "cautions",
    "7": "standards with editions",
    "8": "concessions, changes",
    "9": "checks, signatures, manifest",
}
STEP_OF_CHAPTER = {"2": "2", "3": "3", "4": "4", "5": "5", "6": "6"}


class ReleaseSheet(Sheet):
    """The document's chapters with their states, the revisions, and the two deeds: print and freeze."""

    NUMBER = "6"
    TITLE_WORD = "Release"
    QUESTION = "Can this revision be frozen and handed over?"
    KEYS = (("print", "PDF"), ("new", "freeze"), ("enter", "verify"), "next-open", "rests-on")
    BINDINGS: ClassVar[list[BindingType]] = [*keys.bind_all("print", "new", "next-open")]

    def body(self) -> Sequence[Widget]:
        self.parts = SheetList((Column("document", 34), Column("state", 12), Column("why", 0)), id="parts")
        self.people = Lines(id="people")
        return (self.parts, self.people)

    def answer(self) -> str:
        return sheet_answer(self.session.opened.view, "6")

    def fill(self) -> None:
        rows = [(f"chapter {number}", _chapter_row(self, number)) for number in CHAPTERS]
        root = self.session.opened.folder.root
        rows.append(("work", Row((f"work on {next_letter(root)}", "", "Enter verifies the work"))))
        rows += [(f"revision {letter}", Row((f"revision {letter}, frozen", "", "Enter verifies it"))) for letter in letters(root)]
        self._rows = dict(rows)
        names = list(self._rows)
        self.parts.set_rows(names, lambda index: self._rows[names[index]])
        self.people.show(self._people_lines())
        self.parts.focus()

    def record_at_cursor(self) -> str:
        return ""

    def go_to(self, record_id: str) -> None:
        """Standards and cautions are shown in their chapters."""
        chapter = "6" if self.session.opened.project.kinds.get(record_id) == "caution" else "7"
        self.parts.go_to(f"chapter {chapter}")

    def _people_lines(self) -> list[LineLike]:
        lines: list[LineLike] = ["", line(Piece(" signatures", "heading"))]
        view = self.session.opened.view
        for step in self.session.standing.steps:
            signed = [s.signoff for s in view.signoffs if s.counts and s.signoff.step == step.number]
            names = ", ".join(f"{signoff.person} {signoff.role}" for signoff in signed) or "-"
            missing = f"   missing: {', '.join(step.missing_roles)}" if step.missing_roles else ""
            lines.append(line(f"   {step.number} {step.name:<13} {names}", Piece(missing, "quiet")))
        return lines

    @on(SheetList.Opened)
    def _opened(self, message: SheetList.Opened) -> None:
        name = message.row_id
        if name.startswith("revision ") or name == "work":
            self.app.push_screen(_verification(self.session, name.removeprefix("revision ").replace("work", "")))
        else:
            step = STEP_OF_CHAPTER.get(name.removeprefix("chapter "))
            if step and step != "6":
                self.app.action_sheet(int(step))  # type: ignore[attr-defined]

    def action_next_open(self) -> None:
        """To the next chapter that is not done."""
        self.parts.go_to_next(lambda index: not self._done(list(self._rows)[index]))

    def _done(self, name: str) -> bool:
        step = STEP_OF_CHAPTER.get(name.removeprefix("chapter "))
        return step is None or _step_of(self, step).state == "closed"

    def action_print(self) -> None:
        """A draft PDF of the whole document."""
        self.app.print_draft()  # type: ignore[attr-defined]

    def action_new(self) -> None:
        """Freeze the revision in work, after the question."""
        from dossier.actions.freeze import refuse_unless_closed

        try:
            refuse_unless_closed(self.session.opened, self.session.person)
        except Refusal as error:
            self.say(str(error))
            return
        letter = next_letter(self.session.opened.folder.root)
        asked = Asked(
            f"Freeze revision {letter}?",
            f"After this {letter} is never changed; later work goes on as the next letter. The document is printed and "
            "signed with your key.",
            "freeze", "not now", (passphrase_of(self.session.person),),
        )  # fmt: skip
        self.app.push_screen(Question(asked), self._freeze)

    def _freeze(self, answer: dict[str, str] | None) -> None:
        if answer:
            self.app.freeze(answer["passphrase"])  # type: ignore[attr-defined]
        else:
            self.say("Nothing was frozen.")


def _verification(session, letter: str):
    from screens.sheets.verification import VerificationSheet

    return VerificationSheet(session, letter)


def _step_of(sheet: Sheet, number: str):
    return next(step for step in sheet.session.standing.steps if step.number == number)


def _chapter_row(sheet: Sheet, number: str) -> Row:
    step_number = STEP_OF_CHAPTER.get(number)
    if step_number is None:
        return Row((f"{number} {CHAPTERS[number]}", "", "written from the records"))
    step = _step_of(sheet, step_number)
    counts = ", ".join(f"{step.counts[s]} {s}" for s in ("not met", "outdated", "open") if step.counts[s])
    mark = state(STEP_STATES[step.state])
    return Row((f"{number} {CHAPTERS[number]}", Piece(f"{mark.text[0]} {step.state}", mark.role), counts or "all checks met"))
