"""The part of the design's sheet that shows how its steel is used, and what a typed value does to stiffness and stress."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from dossier.methods.base import InputError
from dossier.methods.section_field import UtilisationField, strength_input
from dossier.methods.section_strength import SectionStrengthInput
from dossier.records.design import Design
from dossier.store.project import Project
from screens.field_process import Answer, FieldProcess
from screens.paint import LineLike
from screens.session import Session
from screens.sheets.design_draft import Drafts
from screens.sheets.field_words import case_answer, cell_told, field_answer, other_half, trial_line
from screens.widgets.section_shape import Array, Field
from screens.widgets.section_view import SectionView
from screens.widgets.triangle_field import TriangleField

DRAWN = ("pin", "ring", "half_shell")
DRAWING_KEYS = ("zoom-in", "both", "difference", "load", "next-area")


def no_digits(z: Array, r: Array) -> Array:
    """The field of a half that has none, or none yet."""
    return np.full((np.size(r), np.size(z)), np.nan)


class Utilisations(Drafts):
    """Fields of the two designs shown, from a process that stays warm; they follow a typed value.

    The sheet gives `section`, and calls `show_fields` with the project that it draws. `case` is the load case shown, from 1;
    0 is the envelope of all.
    """

    field_on = False
    case = 0
    section: SectionView

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self.fields = FieldProcess(lambda work: self.run_worker(work, group="field"), self._field_told)
        self._drawn: Project | None = None
        self._fields_shown: tuple[Answer | None, Answer | None] | None = None
        self._cell = ""
        self._read: tuple[tuple[object, ...], tuple[SectionStrengthInput | str, ...]] | None = None

    async def on_unmount(self) -> None:
        """The process ends with the sheet."""
        await self.fields.close()

    def on_screen_suspend(self) -> None:
        """Another sheet is shown: nothing is computed for this one."""
        self.fields.forget()

    def halves(self, project: Project) -> tuple[Design | None, Design | None]:
        """The designs drawn above and below the axis."""
        reference, variant = self.designs(project)
        return reference or variant, variant or reference

    def clamp_edges(self, project: Project) -> tuple[float, float]:
        """Where the pins of the two halves are held, mm from the middle."""
        upper, lower = (design.pin.ends.clamp_edge if design else 0.0 for design in self.halves(project))
        return upper, lower

    def show_fields(self, project: Project, wanted: bool) -> None:
        """Put the fields of what is drawn into the drawing, and compute those that are not there if they are `wanted`."""
        self._drawn = project
        if wanted or self.field_on:
            upper, lower = self._inputs(project)
            self.fields.want(*(given for given in (lower, upper) if not isinstance(given, str)))
        self._show_found()

    def _inputs(self, project: Project) -> tuple[SectionStrengthInput | str, ...]:
        """What the fields of both halves are computed from, or what is missing; read once for each project drawn."""
        designs = self.halves(project)
        key = project, *designs
        if self._read is None or any(old is not new for old, new in zip(self._read[0], key, strict=True)):
            self._read = key, tuple(_input(project, design) for design in designs)
        return self._read[1]

    def _found(self, project: Project) -> tuple[Answer | None, Answer | None]:
        upper, lower = (given if isinstance(given, str) else self.fields.find(given) for given in self._inputs(project))
        return upper, lower

    def _show_found(self) -> None:
        found = self._found(self._drawn) if self.field_on and self._drawn else None
        if found is None and self._fields_shown is None:
            return
        self._fields_shown, self._cell = found, ""
        if found is None:
            self.section.set_fields(None, None)
        else:
            upper, lower = (_drawing(one, self.case) for one in found)
            self.section.set_fields(upper, lower, (_contour(found[0]), _contour(found[1])))
        self.show_answer()

    def _field_told(self) -> None:
        if not self.is_current:
            return
        self._show_found()
        self.show_keys()
        self.tell_again()
        if self.field_on and not self.frame.strip.is_open:
            self._say_other()

    def _say_other(self) -> None:
        """The upper half, which the answer is not about."""
        upper, lower = self.halves(self.session.opened.project)
        if not (upper and lower and upper.id != lower.id and self._drawn):
            return
        self.say(other_half(upper.id, self._found(self._drawn)[0], self.case), upper.id)

    def field_told(self) -> str:
        """The answer while the field is shown; empty otherwise."""
        lower = self.halves(self.session.opened.project)[1]
        if self._fields_shown is None or lower is None:
            return ""
        found = self._fields_shown[1]
        if self._cell or (self.case and isinstance(found, UtilisationField)):
            return self._cell or case_answer(lower.id, found, self.case, self._title_of_case(found))  # type: ignore[arg-type]
        return field_answer(lower.id, found, self.size.width)

    def _title_of_case(self, found: UtilisationField) -> str:
        name = found.loads[self.case - 1].split(" ")[0]  # "L-07 block 1" is a block of L-07
        return getattr(self.session.opened.project.find(name), "title", "")

    def told_beside(self, draft: Project) -> Sequence[LineLike]:
        """Stiffness and utilisation of the part as typed."""
        upper, lower = self.halves(draft)
        found = self._found(draft)
        other = upper and lower and upper.id != lower.id
        return [trial_line(found[1], found[0] if other else None, upper.id if upper and other else "")]

    def tell_cell(self) -> None:
        """What the field knows of the cell under the drawing's cursor, in place of the answer until something else is shown."""
        spot, designs = self.section.pointed(), self.halves(self.session.opened.project)
        if spot is None or self._fields_shown is None or self.section.drawn is None:
            return
        half = {"variant": 1, "reference": 0}.get(self.section.look.mode, 0 if spot.upper else 1)
        design = designs[half]
        cells = self.section.pointed_cells(), self.section.drawn.place.mm
        self._cell = cell_told(design.id if design else "", self._fields_shown[half], spot.key, self.case, *cells)
        self.show_answer()

    def action_load(self) -> None:
        """The utilisation field instead of the hatches: of all load cases, then of each; then the hatches again."""
        self._turn(1)

    def action_load_before(self) -> None:
        """The load case before; before all load cases the hatches."""
        self._turn(-1)

    def _turn(self, step: int) -> None:
        lower = self.halves(self.session.opened.project)[1]
        if lower is None:
            self.say("No design yet, so no steel to show; n begins the reference part.")
            return
        places = 2 + self._cases()  # the regions, all load cases, each of them
        now = (self.case + 1 if self.field_on else 0) + step
        self._show_place(now % places)

    def drawing_keys(self) -> Sequence[str | tuple[str, str]]:
        """Keys of the bottom row while the drawing has them: it is zoomed, and read cell by cell where it shows the field."""
        return ("zoom-in", ("detail", "this cell"), "load", "both", "next-area") if self.field_on else DRAWING_KEYS

    def load_word(self) -> str:
        """What l shows next."""
        if not self.field_on:
            return "utilisation"
        return "load case" if self.case < self._cases() else "regions"

    def _cases(self) -> int:
        """How many load cases the lower half's field has, none while there is no field."""
        found = self._fields_shown[1] if self._fields_shown else None
        return len(found.loads) if isinstance(found, UtilisationField) else 0

    def _show_place(self, place: int) -> None:
        """0 the regions, 1 all load cases, 2 the first."""
        was_on, self.field_on, self.case = self.field_on, place > 0, max(place - 1, 0)
        if not self.field_on:
            self.fields.forget()
            self.say("Drawing: regions.")
        elif self.section.look.mode == "difference":
            self.section.set_mode("halves")
        if self.field_on and was_on:
            self._show_found()
            self.show_keys()
        elif self.frame.strip.is_open:
            self.frame.strip.ask_again()
        else:
            self.fill()
        if self.field_on:
            self._say_other()


def _input(project: Project, design: Design | None) -> SectionStrengthInput | str:
    try:
        return strength_input(project, design.id) if design else "there is no design"
    except (InputError, ValueError) as error:
        return str(error)


def _drawing(found: Answer | None, case: int) -> Field:
    if not isinstance(found, UtilisationField):
        return no_digits
    parts = [part for name, part in found.parts.items() if name in DRAWN]
    return TriangleField([(part.points, part.triangles, part.by_load[case - 1] if case else part.utilisation)
                          for part in parts if case <= len(part.by_load)])  # fmt: skip


def _contour(found: Answer | None) -> Array | None:
    """Points (z, r) of the free contour."""
    return found.contour[:, ::-1] if isinstance(found, UtilisationField) else None
