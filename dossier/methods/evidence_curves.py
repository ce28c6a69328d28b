"""What measured curves of both groups show besides their stiffness: how far the channels went, where the means differ."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from dossier.records.calculation import ResultValue

# Smallest and largest value of the load channel and of the travel channel, as recorded.
Extents = tuple[tuple[float, float], ...]
if TYPE_CHECKING:
    import numpy as np

Branches = Sequence[tuple["np.ndarray", "np.ndarray"]]


def extent_values(extents: Sequence[Extents], rotational: bool) -> list[ResultValue]:
    """Ends of the load (N, N·mm) and of the travel (mm, °) over all files, as recorded: the machine had to measure them."""
    found = []
    for place, (name, unit) in enumerate((("load", "N·mm" if rotational else "N"), ("travel", "°" if rotational else "mm"))):
        for end, choose in (("low", min), ("high", max)):
            values = [extent[place][end == "high"] for extent in extents]
            found.append(ResultValue(name=f"{name}_{end}", value=choose(values), unit=unit))
    return found


def deviation_values(branches: dict[str, Branches], rotational: bool, warnings: list[str]) -> list[ResultValue]:
    """Largest relative deviation of the variant's mean curve from the reference's, and the travel where it is.

    Nothing without curves of both groups; a warning where they cannot be compared.
    """
    from dossier.evidence.band import deviation_of_means
    from dossier.evidence.errors import EvaluationError

    if not branches.get("variant") or not branches.get("reference"):
        return []
    try:
        found = deviation_of_means(branches["variant"], branches["reference"])
    except EvaluationError as error:
        warnings.append(f"mean curves: {error}")
        return []
    unit = "°" if rotational else "mm"
    return [
        ResultValue(name="curve_deviation", value=found.relative, unit="-"),
        ResultValue(name="curve_deviation_at", value=found.travel, unit=unit),
    ]
