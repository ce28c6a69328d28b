"""What the utilisation field says in words: the answer of sheet 3, and the line under a dimension that is tried."""

from __future__ import annotations

from dossier.methods.section_field import UtilisationField
from dossier.units import convert, show, show_signed
from screens.field_process import Answer
from screens.paint import Line, Piece, line

WIDE = 120
CARRIERS = {"ring": "ring", "half_shell": "shell"}


def field_answer(name: str, found: Answer | None, columns: int) -> str:
    """The design's most used places, its idle steel and what the field holds for; or why there is no field."""
    if not isinstance(found, UtilisationField):
        return _none(name, found)
    r, z = found.pin.place
    below, idle = f"{show(100 * found.idle_below, 2)} %", _idle(found)
    bore, cavity = _room(found)
    pin, place, carrier = show(found.pin.share, 2), f"z {z:.1f}, r {r:.1f} mm", _carrier(found)
    if columns < WIDE:
        return (f"{name}: pin {pin}, {found.pin.load}, {place}; {carrier}. Idle below {below}: {idle}; {bore}, {cavity}. "
                "Linear, pin held at clamp edges.")  # fmt: skip
    return (f"{name}: highest in the pin {pin} under {found.pin.load} at {place}; {carrier}. Below {below}: {idle} of the pin; "
            f"largest in it: {bore}, {cavity}. Linear; pin held at its clamp edges.")  # fmt: skip


def other_half(name: str, found: Answer | None) -> str:
    """The same of the half that the answer is not about, in one row."""
    if not isinstance(found, UtilisationField):
        return _none(name, found)
    r, z = found.pin.place
    place = f"z {z:.1f}, r {r:.1f} mm"
    return f"{name}: pin {show(found.pin.share, 2)}, {found.pin.load}, {place}; {_carrier(found)}; idle {_idle(found)}."


def _none(name: str, reason: str | None) -> str:
    if reason is None:
        return f"Utilisation of {name} is being computed."
    return f"No utilisation of {name}: {reason}."


def _carrier(field: UtilisationField) -> str:
    """The highest utilisation of rings or half shells."""
    name = next(name for name in CARRIERS if name in field.parts)
    return f"{CARRIERS[name]} {show(field.parts[name].highest.share, 2)}"


def _idle(field: UtilisationField) -> str:
    return f"{show(convert(field.idle['idle_mass'], 'kg', 'g'), 3)} g, {show(100 * field.idle['idle_share'], 2)} %"


def _room(field: UtilisationField) -> tuple[str, str]:
    """The largest through bore and the largest cavity within the idle steel."""
    bore, across, along = (field.idle[name] for name in ("idle_bore", "cavity_diameter", "cavity_length"))
    return (f"bore ⌀ {bore:.1f}" if bore > 0 else "no bore",
            f"cavity ⌀ {across:.1f} x {along:.1f} mm" if across > 0 else "no cavity")  # fmt: skip


def trial_line(found: Answer | None, reference: Answer | None, name: str) -> Line:
    """Stiffness and utilisation of what is tried beside the reference part, whose id is `name` ("" for none)."""
    if found is None:
        return line(Piece("stiffness and utilisation are being computed", "quiet"))
    if isinstance(found, str):
        return line(Piece(f"no stiffness and utilisation: {found}", "notmet"))
    radial = f"radial {show(convert(found.stiffness.radial, 'N/mm', 'kN/mm'), 3)} kN/mm"
    pin, carrier = f"; pin utilisation {show(found.pin.share, 2)}", f"; {_carrier(found)}"
    if not isinstance(reference, UtilisationField):
        return line(radial + pin + carrier, Piece(f"; no {name}: {reference}" if reference else "", "quiet"))
    change = 100 * (found.stiffness.radial / reference.stiffness.radial - 1)
    told = Piece(f", {show_signed(change, 1)} % to {name}", "quiet"), Piece(f", {name} {show(reference.pin.share, 2)}", "quiet")
    return line(radial, told[0], pin, told[1], carrier)
