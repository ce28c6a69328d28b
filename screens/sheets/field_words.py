"""What the utilisation field says in words: the answer of sheet 3, and the line under a dimension that is tried."""

from __future__ import annotations

from dossier.methods.section_field import UtilisationField
from dossier.units import convert, show, show_signed
from screens.field_process import Answer
from screens.paint import Line, Piece, line

LIMITS = "Linear, pin held at its clamp edges."


def field_answer(name: str, found: Answer | None) -> str:
    """The design's most used place, its idle steel and what the field holds for; or why there is no field."""
    if found is None:
        return f"Utilisation of {name}: being computed."
    if isinstance(found, str):
        return f"No utilisation of {name}: {found}."
    return f"{name}: {_highest(found)}. {_idle(found)}. {LIMITS}"


def other_half(name: str, found: Answer | None) -> str:
    """The same of the half that the answer is not about, in one row."""
    if found is None:
        return ""
    if isinstance(found, str):
        return f"No utilisation of {name}: {found}."
    return f"{name}: {_highest(found)}; idle {_mass(found)}."


def _highest(field: UtilisationField) -> str:
    r, z = field.place
    return f"highest {show(field.highest, 2)} under {field.load} at z {show(z, 3)}, r {show(r, 3)} mm"


def _mass(field: UtilisationField) -> str:
    return f"{show(convert(field.idle['idle_mass'], 'kg', 'g'), 3)} g, {show(100 * field.idle['idle_share'], 2)} %"


def _idle(field: UtilisationField) -> str:
    bore, across, along = (field.idle[name] for name in ("idle_bore", "cavity_diameter", "cavity_length"))
    room = [f"bore ⌀ {show(bore, 3)}"] if bore > 0 else ["no bore"]
    room.append(f"cavity ⌀ {show(across, 3)} x {show(along, 3)} mm" if across > 0 else "no cavity")
    return f"Below {show(100 * field.idle_below, 2)} %: {_mass(field)} of the pin; room for {', '.join(room)}"


def trial_line(found: Answer | None, reference: Answer | None, name: str) -> Line:
    """Stiffness and utilisation of what is tried beside the reference part, whose id is `name` ("" for none)."""
    if found is None:
        return line(Piece("stiffness and utilisation are being computed", "quiet"))
    if isinstance(found, str):
        return line(Piece(f"no stiffness and utilisation: {found}", "notmet"))
    radial, highest = _radial(found), f"utilisation {show(found.highest, 2)}"
    if not isinstance(reference, UtilisationField):
        return line(Piece(f"{radial}; {highest}"), Piece(f"; {name} not comparable: {reference}" if reference else "", "quiet"))
    change = 100 * (found.stiffness.radial / reference.stiffness.radial - 1)
    told = Piece(f", {show_signed(change, 1)} % to {name}", "quiet"), Piece(f", {name} {show(reference.highest, 2)}", "quiet")
    return line(Piece(radial), told[0], Piece(f"; {highest}"), told[1])


def _radial(field: UtilisationField) -> str:
    return f"radial {show(convert(field.stiffness.radial, 'N/mm', 'kN/mm'), 3)} kN/mm"
