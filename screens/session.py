"""One person's work on one project: what is open, the messages, the path walked, and the way to record."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from dossier.actions.opened import Opened, acting_person
from dossier.actions.refusal import Refusal
from dossier.checks.base import check_texts
from dossier.checks.policy import step_of_calculation
from dossier.checks.standing import Standing, standing
from dossier.checks.view import View
from dossier.records.calculation import Calculation
from dossier.store.change import Change
from dossier.store.errors import StoreError
from dossier.store.lock import SessionLock
from screens.user_state import UserState
from screens.widgets.frame import MessageLog

if TYPE_CHECKING:
    from screens.sheets.asking import Begun

MOST_PLACES = 20

# Sheet on which a record of each kind is shown; a calculation stands on the sheet of its step.
SHEET_OF_KIND = {
    "project": "0",
    "idea": "1",
    "requirement": "2",
    "load case": "3",
    "material": "3",
    "assumption": "3",
    "design": "3",
    "specimen": "4",
    "equipment": "4",
    "reading scheme": "4",
    "evidence": "4",
    "document": "4",
    "cost": "5",
    "standard": "6",
    "caution": "6",
    "step": "0",
}


@dataclass(frozen=True)
class Place:
    """A sheet and the record the cursor is on."""

    sheet: str
    record: str = ""


class Session:
    """Everything the sheets share. Only `record`, `undo` and `redo` write."""

    def __init__(self, root: Path, person: str = "", *, read_only: bool = False) -> None:
        self.opened = Opened(root)
        self.person, stranger = _who(self.opened, person)
        self.lock = SessionLock(root, self.person)
        self.read_only = read_only or bool(stranger) or not self.lock.acquire()
        self.lock.reason = stranger or self.lock.reason
        self.state = UserState(self.opened.project.header.project_id, self.person)
        self.seen = self.state.seen
        self.messages = MessageLog()
        self.path: list[Place] = []
        self.drafts: dict[str, str] = {}
        self.begun: dict[str, Begun] = {}
        self.authors: dict[tuple[str, str], tuple[list[str], list[str]]] = {}
        self._standing: tuple[View, Standing] | None = None

    @property
    def role(self) -> str:
        """First role of the person, or nothing."""
        return self.roles[0] if self.roles else ""

    @property
    def roles(self) -> tuple[str, ...]:
        """All roles of the person in this project."""
        known = self.opened.project.header.person(self.person)
        return tuple(known.roles) if known else ()

    @property
    def standing(self) -> Standing:
        """Where the project stands, worked out once for each reading of the records."""
        view = self.opened.view
        if self._standing is None or self._standing[0] is not view:
            self._standing = view, standing(view)
        return self._standing[1]

    def close(self) -> None:
        """Give the project back."""
        self.lock.release()

    def _refuses(self) -> bool:
        """Whether nothing can be written here, with a message that says why."""
        if self.read_only:
            self.messages.add(f"Read-only: {self.lock.reason or 'opened to look'}. Nothing was recorded.")
        return self.read_only

    def record(self, change: Change) -> bool:
        """Write a change; a refusal or conflict becomes a message. True when it was recorded."""
        if self._refuses():
            return False
        try:
            self.opened.record(change)
        except (StoreError, Refusal, OSError) as error:
            self.messages.add(str(error))
            return False
        self.messages.add(f"Recorded: {change.message.splitlines()[0]}")
        return True

    def take_back(self, *, bring: bool = False) -> None:
        """Take the person's newest change back, or bring it back; the message names it."""
        if self._refuses():
            return
        try:
            change = self.opened.redo(self.person) if bring else self.opened.undo(self.person)
        except (StoreError, Refusal, OSError) as error:
            self.messages.add(str(error))
            return
        self.messages.add(f"{change.message.splitlines()[0]}. {'u takes' if bring else 'y brings'} it back.")

    def outside_edits(self, *, take_in: bool, paths: list[str]) -> bool:
        """Take edits made outside the tool in under the person's name, or put the files back."""
        if self._refuses():
            return False
        folder = self.opened.folder
        try:
            told = self._take_in(paths) if take_in else self._put_back(paths)
            self.opened.take(folder.load())
        except (StoreError, Refusal, OSError) as error:
            self.messages.add(str(error))
            return False
        self.messages.add(told)
        return True

    def _take_in(self, paths: list[str]) -> str:
        return self.opened.folder.record_foreign(paths, self.person).message.splitlines()[0] + ": taken in under your name."

    def _put_back(self, paths: list[str]) -> str:
        kept = self.opened.folder.restore(paths)
        aside = "; ".join(f"the edited file is kept as {place}" for place in kept.values())
        return f"Put back as recorded: {', '.join(paths)}" + (f"; {aside}." if aside else ".")

    def walked(self, place: Place) -> None:
        """Remember where one came from."""
        if not self.path or self.path[-1] != place:
            self.path.append(place)
            del self.path[:-MOST_PLACES]

    def sheet_of(self, record_id: str) -> str:
        """The sheet that shows a record; sign-offs and checks are on the review."""
        record = self.opened.project.find(record_id)
        if isinstance(record, Calculation):
            return step_of_calculation(record)
        if record_id in self.opened.project.kinds:
            return SHEET_OF_KIND.get(self.opened.project.kinds[record_id], "0")
        if record_id in check_texts() or any(s.signoff.id == record_id for s in self.opened.view.signoffs):
            return "9"
        return "0"


def _who(opened: Opened, person: str) -> tuple[str, str]:
    """The person who acts; or a reader, and why nothing can be changed under the name given."""
    try:
        return acting_person(opened.project.header, person), ""
    except Refusal as refusal:
        return "reader", str(refusal)
