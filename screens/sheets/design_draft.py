"""The part of the design's sheet that draws and weighs a typed value while it is typed."""

from __future__ import annotations

from dossier.mechanics.shapes import GeometryError
from dossier.methods.geometry import shape_of_design
from dossier.records.design import Design
from dossier.store.project import Project
from screens.sheets.buildable import buildable_words
from screens.sheets.editing import FieldHere
from screens.sheets.preview import Previews
from screens.sheets.trial import draft_of, masses_of


class Drafts(Previews):
    """Redraws and weighs the draft at every key.

    The sheet gives `designs()`, `show_parts()` and `show_now()`. `drafted` is the dimension typed while its draft is
    shown; a text that cannot be built shows what is recorded.
    """

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

    def show_draft(self, draft: Project) -> None:
        self.drafted = self._edited[1]
        self.show_parts(draft, draft=True)

    def show_recorded(self) -> None:
        self.drafted = ""
        if self.frame.strip.is_open:
            self.show_now(self.session.opened.project, draft=True)
        else:
            self.fill()

    def weigh(self, draft: Project) -> list[float]:
        """Mass of the variant before and after, in kg."""
        masses = []
        for project in (self.session.opened.project, draft):
            variant = self.designs(project)[1]
            weighed = masses_of(project, variant) if variant else ""
            masses += [weighed["total"]] if isinstance(weighed, dict) else []
        return masses
