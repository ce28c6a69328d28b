"""What the list of projects tells of each project in a folder, without opening any for changes."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from dossier.actions.opened import Opened
from dossier.checks.standing import Standing, standing
from dossier.checks.told import saving
from dossier.store.errors import StoreError
from dossier.store.lock import read_holder
from dossier.store.revisions import letters
from dossier.units import amount
from screens.glyphs import STATES, STEP_STATES
from screens.paint import Line, Piece
from screens.user_state import UserState


@dataclass
class ProjectFacts:
    """One project as the list tells it; `problem` says why it cannot be read."""

    folder: Path
    title: str
    reference: str = ""
    variants: str = ""
    steps: tuple[str, ...] = ()
    saved: str = "-"
    waits: str = "-"
    problem: str = ""
    outside: int = 0
    detail: tuple[tuple[str, str], ...] = ()

    @property
    def marks(self) -> Line:
        """The steps, digit before glyph."""
        pieces: Line = []
        for number, step in enumerate(self.steps, 1):
            glyph = STATES[STEP_STATES[step]]
            pieces += [Piece(f"{' ' if number > 1 else ''}{number}", "ink"), Piece(glyph.glyph, glyph.role)]
        return pieces


def project_folders(folder: Path) -> list[Path]:
    """Folders directly below that hold a project, by name."""
    found = [path for path in folder.iterdir() if path.is_dir() and not path.name.startswith(".")]
    return sorted(path for path in found if (path / "project.toml").exists() or (path / "history.git").exists())


def facts_of_project(folder: Path, person: str) -> ProjectFacts:
    """Read one project. Never raises for what is wrong inside it."""
    try:
        opened = Opened(folder)
        found = standing(opened.view)
    except (StoreError, OSError, ValueError, LookupError) as error:
        return ProjectFacts(folder, folder.name, problem=str(error) or type(error).__name__)
    project, header = opened.project, opened.project.header
    variants = [design.id for design in project.designs if design.kind == "variant"]
    saved = saving(opened.view)
    reference = project.reference
    return ProjectFacts(
        folder,
        header.short_title or header.title if "project" in project.records else folder.name,
        (reference.part_number or reference.id) if reference else "-",
        " ".join(variants) or "-",
        tuple("not met" if s.state == "in work" and s.counts["not met"] else s.state for s in found.steps),
        f"{-100 * saved[0]:+.1f} %" if saved else "-",
        _waits(opened, found, person),
        str(project.problems[0]) if project.problems else "",
        len(opened.snapshot.foreign),
        _detail(opened, found, person),
    )


def _waits(opened: Opened, found: Standing, person: str) -> str:
    known = opened.project.header.person(person)
    roles = known.roles if known else []
    step = found.next_step
    if step is None:
        return "-"
    whose = [cause.whose for cause in step.causes if cause.whose] or step.missing_roles
    mine = sum(1 for name in whose if name in roles or name == person)
    if mine:
        return f"you: {mine}"
    return ", ".join(dict.fromkeys(whose)) or "-"


def _detail(opened: Opened, found: Standing, person: str) -> tuple[tuple[str, str], ...]:
    rows = [("where it stands", found.answer)]
    newest = next(_log(opened), None)
    if newest is not None:
        when = newest.time.replace("T", " ")[:16]
        rows.append(("last change", f"{when}  {newest.author}: {newest.message.splitlines()[0]}"))
    seen = UserState(opened.project.header.project_id, person).seen
    if seen.head:
        since = [entry.author for entry in _since(opened, seen.head)]
        by = f" by {', '.join(dict.fromkeys(since))}" if since else ""
        rows.append(("since you looked", amount(len(since), "change") + by))
    frozen = letters(opened.folder.root)
    told = f"{frozen[-1]} is frozen" if frozen else "none is frozen"
    rows.append(("revision", told))
    holder = read_holder(opened.folder.root)
    if holder is not None:
        rows.append(("open with", f"{holder.person} since {holder.time.replace('T', ' ')[:16]}; it opens read-only for you"))
    return tuple(rows)


def _log(opened: Opened):
    try:
        yield from opened.folder.history().log()
    except (StoreError, OSError):
        return


def _since(opened: Opened, head: str):
    for entry in _log(opened):
        if entry.id == head:
            return
        yield entry


