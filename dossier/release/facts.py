"""What the chapters get: the project as checks see it, and the facts of this issue of the document."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from dossier.checks.base import CheckState
from dossier.checks.policy import releasing_role
from dossier.checks.standing import Standing, standing
from dossier.checks.view import View
from dossier.records.design import Design
from dossier.release.furniture import DocumentInfo
from dossier.store.digest import sha256_of_bytes
from dossier.store.project import Project
from dossier.store.revisions import sums_text


@dataclass(frozen=True)
class HistoryLine:
    """One change as the history tells it."""

    time: str
    person: str
    message: str


@dataclass(frozen=True)
class Facts:
    """One issue: revision letter, released or draft, day of issue, digests of the frozen files, history."""

    view: View
    letter: str
    released: bool
    issued_on: str
    sums: Mapping[str, str] = field(default_factory=dict)
    history: Sequence[HistoryLine] = ()

    standing: Standing = field(init=False)
    worked_out: dict[Any, Any] = field(default_factory=dict, init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "standing", standing(self.view))

    def once(self, key: Any, work: Callable[[], Any]) -> Any:
        """What `work` gives, worked out once per issue: the passes of a build ask for the same again."""
        if key not in self.worked_out:
            self.worked_out[key] = work()
        return self.worked_out[key]

    @property
    def project(self) -> Project:
        """The graph."""
        return self.view.project

    @property
    def checks(self) -> list[CheckState]:
        """All checks in the order of the steps."""
        return [check for step in self.standing.steps for check in step.checks]

    @property
    def manifest_digest(self) -> str:
        """SHA-256 of the SHA256SUMS file."""
        return sha256_of_bytes(sums_text(self.sums))

    def info(self) -> DocumentInfo:
        """Fields of the title block."""
        header, variant, reference = self.project.header, self.project.variant, self.project.reference
        releaser = next(
            (s.signoff for s in reversed(self.view.signoffs) if s.counts and s.signoff.role == releasing_role()), None
        )
        author = next((person.name for person in header.people if "PE" in person.roles), "")
        return DocumentInfo(
            owner=header.legal_owner,
            title=header.title,
            subtitle=_short_subtitle(variant, reference),
            identification=(variant.part_number or variant.id) if variant else header.short_title,
            revision=self.letter,
            created_by=author,
            approved_by=releaser.person if releaser and self.released else "–",
            date_of_issue=self.issued_on,
            status="released" if self.released else "draft",
            released=self.released,
            manifest=self.manifest_digest if self.sums else "",
            notice=header.demo,
            draft_lines=self._draft_lines(),
        )

    def _draft_lines(self) -> tuple[str, ...]:
        if self.released:
            return ()
        open_steps = [step.number for step in self.standing.steps if step.state != "closed"]
        return ("not frozen, not for manufacture", f"steps not closed: {', '.join(open_steps) or 'none'}")


def subtitle(variant: Design | None, reference: Design | None) -> str:
    """Titles and part numbers of what is compared."""
    return " against ".join(f"{design.title} {design.part_number or design.id}" for design in (variant, reference) if design)


def _short_subtitle(variant: Design | None, reference: Design | None) -> str:
    """The same for the title block, where the variant's part number stands beside it."""
    against = f"against {reference.part_number or reference.id}" if reference else ""
    return ", ".join(part for part in (variant.title if variant else "", against) if part)
