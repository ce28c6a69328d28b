"""6 Release: can this revision be frozen and handed over?"""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual import on
from textual.binding import BindingType
from textual.widget import Widget

from dossier.actions.refusal import Refusal
from dossier.checks.told import missing_words, sheet_answer
from dossier.checks.view import View
from dossier.store.revisions import letters, next_letter
from screens import keys
from screens.cells import wrap_most
from screens.chapters import Chapter, chapters
from screens.paint import LineLike, Piece, line, state
from screens.sheets.passphrase import passphrase_of
from screens.sheets.sheet import Sheet
from screens.widgets.columns import Column
from screens.widgets.house import Lines
from screens.widgets.modal import Question
from screens.widgets.question import Asked
from screens.widgets.sheet_list import Row, SheetList

CHAPTER = "chapter "


class ReleaseSheet(Sheet):
    """The document's chapters with their states, the revisions, and the two deeds: print and freeze."""

    NUMBER = "6"
    STATION = 5
    TITLE_WORD = "Release"
    QUESTION = "Can this revision be frozen and handed over?"
    KEYS = (("enter", "go there"), ("print", "PDF"), ("new", "freeze"), "next-open", "find")
    BINDINGS: ClassVar[list[BindingType]] = [*keys.bind_all("print", "new", "next-open")]

    def body(self) -> Sequence[Widget]:
        self.parts = SheetList((Column("document", 30, gap=1), Column("state", 11, gap=1), Column("why", 0)), id="parts")
        self.people = Lines(id="people", classes="below")
        self._chapters: dict[str, Chapter] = {}
        self._refusal: tuple[View, str] | None = None
        return (self.parts, self.people)

    def answer(self) -> str:
        return sheet_answer(self.session.opened.view, "6")

    def fill(self) -> None:
        self._chapters = {f"{CHAPTER}{chapter.number}": chapter for chapter in chapters(self.session)}
        rows = {name: _chapter_row(chapter) for name, chapter in self._chapters.items()}
        root = self.session.opened.folder.root
        rows["work"] = Row((f"work on {next_letter(root)}", "", "Enter verifies the work"))
        rows |= {f"revision {name}": Row((f"revision {name}, frozen", "", "Enter verifies it")) for name in letters(root)}
        names = list(rows)
        self._names = names
        self.parts.set_rows(names, lambda index: rows[names[index]])
        self._show_below()
        self.parts.focus()

    def record_at_cursor(self) -> str:
        return ""

    def go_to(self, record_id: str) -> None:
        """Standards and cautions are shown in their chapters."""
        chapter = "6" if self.session.opened.project.kinds.get(record_id) == "caution" else "7"
        self.parts.go_to(f"chapter {chapter}")

    @on(SheetList.Moved)
    def _moved(self) -> None:
        self._show_below()

    def _show_below(self) -> None:
        """The chapter at the cursor in full, then who signed; the word of Enter follows the row."""
        chapter = self._chapters.get(self.parts.row_id or "")
        told = f"{chapter.number} {chapter.title}: {chapter.why}" if chapter else ""
        people = self._people_lines()
        self.people.show(lambda columns: ["", *(line(f" {text}") for text in wrap_most(told, columns - 2, 2)), *people])

    def keys_now(self) -> Sequence[str | tuple[str, str]]:
        """The word of Enter follows the row."""
        return (("enter", "go there" if self.parts.row_id in self._chapters else "verify"), *self.KEYS[1:])

    def why_not(self, key_id: str) -> str:
        """Freezing waits for closed steps and their releaser."""
        return self._not_to_freeze() if key_id == "new" else super().why_not(key_id)

    def _not_to_freeze(self) -> str:
        """What freezing waits for, worked out once for each reading of the records."""
        from dossier.actions.freeze import refuse_unless_closed

        view = self.session.opened.view
        if self._refusal is None or self._refusal[0] is not view:
            reason = ""
            try:
                refuse_unless_closed(self.session.opened, self.session.person)
            except Refusal as error:
                reason = str(error)
            self._refusal = view, reason
        return self._refusal[1]

    def _people_lines(self) -> list[LineLike]:
        lines: list[LineLike] = [line(Piece(" signatures", "heading"))]
        view = self.session.opened.view
        for step in self.session.standing.steps:
            signed = [s.signoff for s in view.signoffs if s.counts and s.signoff.step == step.number]
            names = ", ".join(f"{signoff.person} {signoff.role}" for signoff in signed) or "-"
            missing = missing_words(view.project.header, step.missing_roles)
            lines.append(line(f"   {step.number} {step.name:<13} {names}   ", Piece(missing, "quiet")))
        return lines

    @on(SheetList.Opened)
    def _opened(self, message: SheetList.Opened) -> None:
        """Enter: to the sheet or the question a chapter is written from; a revision or the work is verified."""
        chapter = self._chapters.get(message.row_id)
        if chapter is None:
            self.app.push_screen(_verification(self.session, message.row_id.removeprefix("revision ").replace("work", "")))
        elif chapter.goal.isdigit():
            self.app.action_sheet(int(chapter.goal))  # type: ignore[attr-defined]
        else:
            self.app.go(chapter.goal)  # type: ignore[attr-defined]

    def action_next_open(self) -> None:
        """To the next chapter in which something stands open."""
        if not self.parts.go_to_next(lambda index: not self._done(self._names[index])):
            self.say("Nothing stands open in any chapter.")

    def _done(self, name: str) -> bool:
        return name not in self._chapters or self._chapters[name].done

    def action_print(self) -> None:
        """A draft PDF of the whole document."""
        self.app.print_draft()  # type: ignore[attr-defined]

    def action_new(self) -> None:
        """Freeze the revision in work, after the question."""
        if reason := self._not_to_freeze():
            self.say(reason)
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


def _chapter_row(chapter: Chapter) -> Row:
    return Row((f"{chapter.number} {chapter.title}", state(chapter.state), chapter.why))
