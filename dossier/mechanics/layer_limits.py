"""Whether the rubber layer stays what the linear section takes it for: faces closed and at rest, no cavity.

The tractions of pre-stress and load are superposed linearly. Signs: pressure on a face is positive when it presses,
mean stress positive when it pulls.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from dossier.mechanics.layer_state import FaceState, LayerState
from dossier.mechanics.section_stress import Motion

Array = NDArray[np.float64]

CAVITATION = 2.5
"""Mean tension, as a multiple of the shear modulus, at which a cavity opens: the limit 5 μ/2 of a neo-Hookean body
(Gent and Lindley, Proc. R. Soc. A 249 (1959) 195, from memory)."""

SLIDING_SHARE = 0.05
"""Share of a face's area that slides beyond what the assembly itself made slide, at which slip is said to begin. Own
convention: near the edges of a pre-compressed face some sliding is always there."""

AROUND = np.arange(24) * (2 * np.pi / 24)
STRAIN_ANGLES = np.linspace(0.0, np.pi, 7)
LARGEST_FACTOR = 100.0
LEAST_FACTOR = 1e-6


@dataclass(frozen=True)
class FaceLimits:
    """One face under pre-stress and load.

    `least_pressure` MPa (negative: tension) at `least_place` (r, z) mm; `greatest_shear` MPa; shares of the area, `sliding`
    None on a bonded face; load factors, None where never reached: `opens_at` when the first place of a friction face
    loses its pressure, `slides_at` when SLIDING_SHARE more of it slides than after assembly. `slip_torque` N·mm: torque
    the pre-stress alone carries by friction, None on a bonded face.
    """

    held: Literal["bonded", "friction"]
    least_pressure: float
    least_place: tuple[float, float]
    greatest_shear: float
    tension_share: float
    sliding: float | None
    opens_at: float | None
    slides_at: float | None
    slip_torque: float | None


@dataclass(frozen=True)
class LayerLimits:
    """The layer under one load case.

    `tension` MPa: greatest mean tension at `tension_place`; `cavity_at` load factor at which it reaches the `cavitation`
    limit in MPa, None if never. `strain`: greatest principal strain of the load alone, at `strain_place`. `needed_travel`
    mm: pre-stress travel that keeps both faces under pressure, 0 without tension, None where no travel does.
    `begins_at`: least load factor at which a cavity, lift-off or slip begins, None if none does.
    """

    tension: float
    tension_place: tuple[float, float]
    cavitation: float
    cavity_at: float | None
    strain: float
    strain_place: tuple[float, float]
    faces: Mapping[str, FaceLimits]
    needed_travel: float | None
    begins_at: float | None


def layer_limits(
    state: LayerState,
    faces: Mapping[str, FaceState],
    held: Mapping[str, Literal["bonded", "friction"]],
    friction: Mapping[str, float],
    shear_modulus: float,
    motion: Motion,
) -> LayerLimits:
    """Limits of the layer under `motion`, whose pre-stress stays while its load grows.

    `faces`, `held` and `friction` (coefficient, read for friction faces only) by the name of the face.
    """
    limit = CAVITATION * shear_modulus
    tension, place, cavity_at = _cavity(state, motion, limit)
    strain, strain_place = _strain(state, motion)
    found = {name: _face_limits(face, held[name], friction.get(name, 0.0), motion) for name, face in faces.items()}
    factors = [cavity_at, *(factor for face in found.values() for factor in (face.opens_at, face.slides_at))]
    return LayerLimits(
        tension,
        place,
        limit,
        cavity_at,
        strain,
        strain_place,
        found,
        _needed_travel(list(faces.values()), motion),
        min((factor for factor in factors if factor is not None), default=None),
    )


@dataclass(frozen=True)
class _Superposed:
    """Tractions of pre-stress (m, 3) and of the load in all senses: steady and lateral (s, m, 3)."""

    base: Array
    steady: Array
    lateral: Array

    def at(self, factor: float) -> tuple[Array, Array]:
        """Normal stress and amount of shear (s, angles, m) with the load times `factor`."""
        around = np.stack([np.cos(AROUND), np.cos(AROUND), np.sin(AROUND)], axis=1)[None, :, None]
        traction = self.base + factor * (self.steady[:, None] + self.lateral[:, None] * around)
        return traction[..., 0], np.hypot(traction[..., 1], traction[..., 2])


def _superposed(unit: Mapping[str, Array], motion: Motion) -> _Superposed:
    signed = motion.with_signs()
    steady = [one.axial * unit["axial"] + one.torsional * unit["torsional"] for one in signed]
    lateral = [one.radial * unit["radial"] + one.conical * unit["conical"] for one in signed]
    return _Superposed(motion.prestress * unit["prestress"], np.array(steady), np.array(lateral))


def _face_limits(face: FaceState, held: Literal["bonded", "friction"], friction: float, motion: Motion) -> FaceLimits:
    loads = _superposed(face.traction, motion)
    normal, shear = loads.at(1.0)
    worst = np.unravel_index(normal.argmax(), normal.shape)
    rubs = held == "friction"

    def share(found: NDArray[np.bool_]) -> float:
        return float((found.mean(axis=1) @ face.area).max() / face.area.sum())

    def sliding(factor: float) -> float:
        stress, amount = loads.at(factor)
        return share(amount > friction * np.maximum(-stress, 0.0))

    pressure = np.maximum(-loads.base[:, 0], 0.0)
    at_rest = sliding(0.0)
    return FaceLimits(
        held=held,
        least_pressure=float(-normal[worst]),
        least_place=_place(face.place[worst[-1]]),
        greatest_shear=float(shear.max()),
        tension_share=share(normal > 0),
        sliding=sliding(1.0) if rubs else None,
        opens_at=_first(lambda factor: bool(loads.at(factor)[0].max() > 0)) if rubs else None,
        slides_at=_first(lambda factor: sliding(factor) > at_rest + SLIDING_SHARE) if rubs else None,
        slip_torque=float(friction * (pressure * face.area * face.place[:, 0]).sum()) if rubs else None,
    )


def _first(reached: Callable[[float], bool]) -> float | None:
    """Least load factor at which `reached` holds, to 0.1 %; None beyond LARGEST_FACTOR."""
    if reached(0.0):
        return 0.0
    low, high = 0.0, 1.0
    while not reached(high):
        low, high = high, 2 * high
        if high > LARGEST_FACTOR:
            return None
    while high - low > max(1e-3 * high, LEAST_FACTOR):
        middle = (low + high) / 2
        low, high = (low, middle) if reached(middle) else (middle, high)
    return high


def _cavity(state: LayerState, motion: Motion, limit: float) -> tuple[float, tuple[float, float], float | None]:
    """Greatest mean tension, its place, and the load factor at which it reaches `limit`."""
    unit = {name: state.averaged(state.mean_stress[name]) for name in ("axial", "prestress", "radial", "conical")}
    centres = unit["axial"][0]
    base = motion.prestress * unit["prestress"][1]
    growing = np.array(
        [
            one.axial * unit["axial"][1] + abs(one.radial * unit["radial"][1] + one.conical * unit["conical"][1])
            for one in motion.with_signs()
        ]
    ).max(axis=0)
    total = base + growing
    worst = int(total.argmax())
    pulled = growing > 1e-12 * max(1.0, np.abs(growing).max())
    factor = float(((limit - base)[pulled] / growing[pulled]).min()) if pulled.any() else None
    return float(total[worst]), _place(centres[worst]), max(factor, 0.0) if factor is not None else None


def _strain(state: LayerState, motion: Motion) -> tuple[float, tuple[float, float]]:
    """Greatest disc average of the first principal strain under the load alone, and its place."""
    unit, greatest, place = state.strain, -np.inf, (0.0, 0.0)
    for one in replace(motion, prestress=0.0).with_signs():
        steady = one.axial * unit["axial"] + one.torsional * unit["torsional"]
        lateral = one.radial * unit["radial"] + one.conical * unit["conical"]
        for angle in STRAIN_ANGLES if lateral.any() else STRAIN_ANGLES[:1]:
            factor = np.repeat([np.cos(angle), np.sin(angle)], [4, 2])
            centres, average = state.averaged(first_principal_strain(steady + lateral * factor))
            if average.max() > greatest:
                greatest, place = float(average.max()), _place(centres[average.argmax()])
    return greatest, place


def first_principal_strain(strain: Array) -> Array:
    """Greatest principal value (m,) of strain (m, 6) with engineering shear, by the trigonometric formula."""
    rr, zz, tt, rz, rt, zt = strain.T
    rz, rt, zt = rz / 2, rt / 2, zt / 2
    mean = (rr + zz + tt) / 3
    a, b, c = rr - mean, zz - mean, tt - mean
    size = np.sqrt((a * a + b * b + c * c + 2 * (rz * rz + rt * rt + zt * zt)) / 6)
    determinant = a * b * c + 2 * rz * rt * zt - a * zt * zt - b * rt * rt - c * rz * rz
    cosine = np.clip(determinant / 2 / np.maximum(size**3, 1e-300), -1.0, 1.0)
    return mean + 2 * size * np.cos(np.arccos(cosine) / 3)


def _needed_travel(faces: list[FaceState], motion: Motion) -> float | None:
    """Travel at which the pressure of the pre-stress equals the tension of the load wherever both are felt."""
    needed = 0.0
    for face in faces:
        loads = _superposed(face.traction, replace(motion, prestress=0.0))
        tension = loads.at(1.0)[0].max(axis=(0, 1))
        per_mm = -face.traction["prestress"][:, 0]
        pulled = tension > 0
        if (per_mm[pulled] <= 0).any():
            return None
        if pulled.any():
            needed = max(needed, float((tension[pulled] / per_mm[pulled]).max()))
    return needed


def _place(point: Array) -> tuple[float, float]:
    return float(point[0]), float(point[1])
