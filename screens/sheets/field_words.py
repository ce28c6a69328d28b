"""What the utilisation field says in words: the answer of sheet 3, and the line under a dimension that is tried."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from dossier.methods.section_field import COMPONENTS, Numbers, PartField, UtilisationField
from dossier.units import convert, show, show_signed
from screens.field_process import Answer
from screens.paint import Line, Piece, line

WIDE = 120
CARRIERS = {"ring": "ring", "half_shell": "shell"}
NAMES = {"pin": "pin", "core": "core", **CARRIERS}
LETTERS = {"pin": "A", "core": "B", "ring": "D", "half_shell": "D"}
WITHOUT = {"B": "core, whose strength is not given", "C": "rubber, see layer.limits", "E": "eye, not in the model",
           "F": "rest, not in the model"}  # fmt: skip


def field_answer(name: str, found: Answer | None, columns: int) -> str:
    """The design's most used places, its idle steel and what the field holds for; or why there is no field."""
    if not isinstance(found, UtilisationField):
        return _none(name, found)
    r, z = found.pin.place
    below, idle = f"{show(100 * found.idle_below, 2)} %", _idle(found)
    bore, cavity = _room(found)
    pin, place, carrier = show(found.pin.share, 2), f"z {z:.1f}, r {r:.1f} mm", _carrier(found)
    if columns < WIDE:
        return (f"{name}: pin {pin}, {found.pin.load}, {place}; {carrier}. Idle below {below}: {idle}; {bore}, {cavity}, "
                f"{_contour(found, False)}. Linear.")  # fmt: skip
    return (f"{name}: highest in the pin {pin} under {found.pin.load} at {place}; {carrier}. Below {below}: {idle} of the pin; "
            f"largest in it: {bore}, {cavity}, {_contour(found, True)}. Linear.")  # fmt: skip


def case_answer(name: str, found: UtilisationField, case: int, title: str) -> str:
    """The same under one load case, numbered from 1, with its title."""
    load = f"{found.loads[case - 1]} {title}, load case {case} of {len(found.loads)} alone"
    return f"{_case(name, found, case)}. {load}; share of yield strength. Linear."


def _case(name: str, found: UtilisationField, case: int) -> str:
    pin = found.parts["pin"].peaks[case - 1]
    r, z = pin.place
    return f"{name} under {pin.load}: pin {show(pin.share, 2)}, z {z:.1f}, r {r:.1f} mm; {_carrier(found, case)}"


def cell_told(
    name: str, found: Answer | None, key: str, case: int, cells: Sequence[tuple[float, float]], wide: float
) -> str:
    """What the field knows of one cell in the region `key`; "" for a cell mostly void, of which the rim of a part is told.

    `cells` are middles (z, r) in mm of the cell and of those beside it that count to it, `wide` the width of a column in mm;
    `case` is the load case shown, from 1; 0 the envelope.
    """
    if not isinstance(found, UtilisationField):
        return _none(name, found)
    if not key:
        cells = cells[:1]
    shown = [part for part in found.parts if key in ("", LETTERS[part])]
    part = next((part for part in shown if key or len(_inside(found.parts[part], cells, wide))), "")
    if not part:
        return f"{name}, {WITHOUT.get(key, 'no steel')} at z {cells[0][0]:.1f}, r {cells[0][1]:.1f} mm: no utilisation there."
    field, key = found.parts[part], LETTERS[part]
    node = _node(field, cells, wide, case)
    load = int(field.by_load[:, node].argmax()) if case == 0 else case - 1
    share, (r, z) = float(field.by_load[load, node]), field.points[node]
    decides = "decides" if case == 0 else "alone"
    idle = ", idle" if part == "pin" and case == 0 and share < found.idle_below else ""
    components = zip(COMPONENTS, field.components[load, node], strict=True)
    stress = " ".join(f"{symbol} {show(round(float(value), 1), 3)}" for symbol, value in components)
    return (f"{name}, {key} {NAMES[part]}{idle}, z {z:.1f}, r {r:.1f} mm: {show(share, 2)}, {show(share * field.strength, 3)} of "
            f"{show(field.strength, 3)} MPa, {found.loads[load]} {decides}. {stress} MPa")  # fmt: skip


def _inside(field: PartField, cells: Sequence[tuple[float, float]], wide: float) -> Numbers:
    """Numbers of the nodes in cells, which are twice as high as wide."""
    away = [np.abs(field.points - (r, z)) for z, r in cells]
    return np.flatnonzero(np.any([(one[:, 1] <= wide / 2) & (one[:, 0] <= wide) for one in away], axis=0))


def _node(field: PartField, cells: Sequence[tuple[float, float]], wide: float, case: int) -> int:
    """The most used node in the cells, or the nearest to the middle of the first where none lies in them."""
    used = field.by_load[case - 1] if case else field.utilisation
    inside = _inside(field, cells, wide)
    if len(inside):
        return int(inside[used[inside].argmax()])
    z, r = cells[0]
    return int(np.hypot(*(field.points - (r, z)).T).argmin())


def other_half(name: str, found: Answer | None, case: int) -> str:
    """The same of the half that the answer is not about, in one row."""
    if not isinstance(found, UtilisationField):
        return _none(name, found)
    if 0 < case <= len(found.loads):
        return f"{_case(name, found, case)}."
    r, z = found.pin.place
    place = f"z {z:.1f}, r {r:.1f} mm"
    return f"{name}: pin {show(found.pin.share, 2)}, {found.pin.load}, {place}; {_carrier(found)}; idle {_idle(found)}."


def _none(name: str, reason: str | None) -> str:
    if reason is None:
        return f"Utilisation of {name} is being computed."
    return f"No utilisation of {name}: {reason}."


def _carrier(field: UtilisationField, case: int = 0) -> str:
    """The highest utilisation of rings or half shells, of all load cases or of one."""
    name = next(name for name in CARRIERS if name in field.parts)
    part = field.parts[name]
    return f"{CARRIERS[name]} {show((part.peaks[case - 1] if case else part.highest).share, 2)}"


def _idle(field: UtilisationField) -> str:
    return f"{show(convert(field.idle['idle_mass'], 'kg', 'g'), 3)} g, {show(100 * field.idle['idle_share'], 2)} %"


def _room(field: UtilisationField) -> tuple[str, str]:
    """The largest through bore and the largest cylinder within the idle steel, in mm."""
    bore, across, along = (field.idle[name] for name in ("idle_bore", "cavity_diameter", "cavity_length"))
    return (f"bore ⌀ {bore:.1f}" if bore > 0 else "no bore",
            f"cylinder ⌀ {across:.1f} x {along:.1f}" if across > 0 else "no cylinder")  # fmt: skip


def _contour(field: UtilisationField, wide: bool) -> str:
    """The free contour, which the drawing shows as a line."""
    across, along, mass = (field.idle[f"contour_{name}"] for name in ("diameter", "length", "mass"))
    if not across:
        return "no contour"
    grams = f", {show(convert(mass, 'kg', 'g'), 3)} g" if wide else ""
    return f"contour ⌀ {across:.1f} x {along:.1f} mm{grams}"


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
