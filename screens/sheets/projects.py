"""The list of projects: which one, and is it as it was left?"""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import ClassVar

from textual import on
from textual.binding import BindingType

from dossier.actions.opened import acting_person
from dossier.actions.refusal import Refusal
from dossier.store.errors import StoreError
from dossier.store.keys import key_path
from dossier.store.paths import slug
from screens import keys
from screens.cells import cut
from screens.paint import LineLike, Piece, line
from screens.projects import ProjectFacts, facts_of_project, project_folders
from screens.sheets.find import Finds
from screens.widgets.columns import Column
from screens.widgets.entry import Entry
from screens.widgets.frame import Frame
from screens.widgets.frame_lines import TitleBlock
from screens.widgets.house import HouseScreen, Lines
from screens.widgets.sheet_list import Row, SheetList
from screens.widgets.strip import EntryStrip

FIRST_START = (
    "No project in this folder yet; n begins one.", "",
    "n   asks for its title and makes its folder here; you are its engineer.",
    "    Then Enter opens it, and 1 Idea is where it begins.",
    "F1  tells every key; Esc leaves.",
    "    `dossier-sheets FOLDER` opens another folder;",
    "    `dossier key` makes your signing key, needed to sign only.",
)


class ProjectsScreen(Finds, HouseScreen):
    """Choose a project, or begin one."""

    BINDINGS: ClassVar[list[BindingType]] = [*keys.bind_all("back", "new", "find", "term")]

    def __init__(self, folder: Path, person: str) -> None:
        super().__init__()
        self.folder = folder
        self.person = acting_person(None, person)
        self.session = None  # type: ignore[assignment]
        columns = (
            Column("project", 0), Column("reference", 9, gap=1), Column("variants", 8, gap=1), Column("steps", 17, gap=1),
            Column("mass", 7, "right"), Column("waits for", 9),
        )  # fmt: skip
        self.list = SheetList(columns, id="projects")
        self.detail = Lines(id="detail")
        self.frame = Frame(self.list, self.detail)
        self.found: list[ProjectFacts] = []

    def compose(self):
        """The frame."""
        yield self.frame

    def on_screen_resume(self) -> None:
        """Shown, or shown again: read every project anew."""
        self.found = [facts_of_project(folder, self.person) for folder in project_folders(self.folder)]
        self.frame.set_head("Projects", "Which project, and is it as it was left?")
        begun: tuple[str | tuple[str, str], ...] = (("enter", "open"), "new", "find") if self.found else ("new",)
        self.frame.set_keys(*begun, ("back", "leave"))
        key = "key found" if key_path(self.person).exists() else "no signing key yet"
        day = date.today().isoformat()
        where = f"Projects in {self.folder.resolve()}"
        self.frame.set_title_block(TitleBlock(where, (key, key), (day, day), self.person, (), "list"))
        self.list.set_rows([str(facts.folder) for facts in self.found], lambda index: _row(self.found[index]))
        self.list.set_empty([line(f"   {text}") for text in FIRST_START])
        self.frame.set_hint("Enter opens the project at the cursor, n begins another." if self.found else "n begins a project.")
        self.show_answer()
        self._show_detail()
        self.list.focus()

    def show_answer(self) -> None:
        """How many projects, how many wait for the person, how many were changed outside."""
        number = len(self.found)
        mine = sum(facts.waits.startswith("you") for facts in self.found)
        outside = sum(facts.outside > 0 for facts in self.found)
        broken = sum(bool(facts.problem) for facts in self.found)
        told = [f"{number} project{'' if number == 1 else 's'} here"]
        told += [f"{mine} {'waits' if mine == 1 else 'wait'} for you"] if mine else []
        told += [f"{outside} changed outside the tool"] if outside else []
        told += [f"{broken} with something unreadable"] if broken else []
        self.frame.set_answer(f"{'; '.join(told)}. {self.narrowed()}".strip())

    def say(self, text: str) -> None:
        """A message in the message row."""
        self.frame.message(text)

    @property
    def _at_cursor(self) -> ProjectFacts | None:
        return next((facts for facts in self.found if str(facts.folder) == self.list.row_id), None)

    @on(SheetList.Moved)
    def _moved(self) -> None:
        self._show_detail()

    def _show_detail(self) -> None:
        facts = self._at_cursor
        if facts is None:
            self.detail.show([""])
            return
        self.detail.show(lambda columns: _detail_lines(facts, columns))

    @on(SheetList.Opened)
    def _opened(self, message: SheetList.Opened) -> None:
        reason = self.app.open_project(Path(message.row_id))  # type: ignore[attr-defined]
        if reason:
            self.say(reason)

    def action_back(self) -> None:
        """Out of a narrowed list to all projects, else leave, after the question."""
        if self.widened():
            return
        self.app.action_leave()  # type: ignore[attr-defined]

    def action_new(self) -> None:
        """Begin a project from its title."""
        hint = "of the new project; its folder is made here"
        self.frame.strip.open(Entry("edit", "new project", "title", hint=hint, width=40, check=self._fits))

    def _fits(self, title: str) -> str:
        if not title.strip():
            return "title is needed, such as: AX-80 axle link"
        if (self.folder / slug(title)).exists():
            return f"{slug(title)} exists here already; choose another title"
        return ""

    @on(EntryStrip.Changed)
    def _changed(self, message: EntryStrip.Changed) -> None:
        if message.entry.kind == "find":
            self.find_changed(message)

    @on(EntryStrip.Left)
    def _left(self, message: EntryStrip.Left) -> None:
        if message.entry.kind == "find":
            self.show_all_again()
        elif message.kept:
            self.say("Draft kept; n continues it.")

    @on(EntryStrip.Chosen)
    def _chosen(self, message: EntryStrip.Chosen) -> None:
        self.go_to_found(message.option)

    @on(EntryStrip.Entered)
    def _entered(self, message: EntryStrip.Entered) -> None:
        strip, entry = self.frame.strip, message.entry
        if entry.kind == "find":
            strip.settle(entry)
            self.keep_found(message.text)
        elif self._begin(message.text.strip()):
            strip.settle(entry)
        else:
            strip.refuse(entry, self.frame.messages.newest)

    def _begin(self, title: str) -> bool:
        """Make a project of this title; False when it cannot be made, with a message that says why."""
        from dossier.actions.create import new_project
        from dossier.store.folder import ProjectFolder

        folder = self.folder / slug(title)
        try:
            change = new_project(folder, title, self.person, ["PE"])
            folder.mkdir(exist_ok=True)
            ProjectFolder(folder).commit(change, None)
        except (Refusal, StoreError, OSError) as error:
            self.say(str(error))
            return False
        self.on_screen_resume()
        self.list.go_to(str(folder))
        self.say(f"{folder.name} begun, you as project engineer (PE). Enter opens it.")
        return True


def _row(facts: ProjectFacts) -> Row:
    mark = Piece("∆", "outdated") if facts.problem or facts.outside else Piece(" ")
    if not facts.steps:
        return Row(line=line(f"{facts.title}  ", Piece(facts.problem, "outdated")), mark=mark)
    waits = Piece(facts.waits, "key" if facts.waits.startswith("you") else "ink")
    return Row((facts.title, facts.reference, facts.variants, facts.marks, facts.saved, waits), mark)


def _detail_lines(facts: ProjectFacts, columns: int) -> list[LineLike]:
    """Where the project stands, its last change, its revisions, and what is wrong with it."""
    lines: list[LineLike] = ["", line(Piece(f" {facts.title}", "heading"), Piece(f"   {facts.folder.name}", "quiet"))]
    lines += [line(Piece(f"   {name:<18}", "quiet"), cut(text, columns - 22)) for name, text in facts.detail]
    if facts.problem:
        lines.append(line(Piece(f" ∆ {facts.problem}", "outdated")))
    if facts.outside:
        told = f" ∆ edited outside the tool: {facts.outside}; sheet 8 shows it before anything is recorded"
        lines.append(line(Piece(told, "outdated")))
    return lines
