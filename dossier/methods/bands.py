"""Bands of computed values: each cause taken alone, and all causes unfavourable together."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from dossier.methods.base import Contribution, InputError, Value
from dossier.records.base import Banded
from dossier.records.design import Tolerance

Changes = Mapping[str, float]
Ends = tuple[Changes, Changes]


class OneAtATime:
    """Values computed with each input at both ends of its band, the others at their values.

    `compute(**changes)` gives all values by name for changed inputs; `causes` holds the changes at both ends of
    each cause's band, none at an end that is the value itself.
    """

    def __init__(self, compute: Callable[..., Mapping[str, float]], causes: Mapping[str, Ends]) -> None:
        self.compute = compute
        self.causes = causes
        self.nominal = compute()
        self.at_ends = {cause: [compute(**changes) if changes else self.nominal for changes in ends]
                        for cause, ends in causes.items()}  # fmt: skip

    def values(self) -> dict[str, Value]:
        """Every value with one contribution per cause that moves it."""
        return {name: Value(value, self.contributions(name, value)) for name, value in self.nominal.items()}

    def contributions(self, name: str, value: float) -> tuple[Contribution, ...]:
        """One line per cause that moves `value`, measured from it; ends that do not give the name are passed over."""
        lines = []
        for cause, ends in self.at_ends.items():
            differences = [end[name] - value for end in ends if name in end]
            if any(differences):
                lines.append(Contribution(cause, min(0.0, *differences), max(0.0, *differences)))
        return tuple(lines)

    def together(self, name: str, *, least: bool) -> float:
        """The value with every cause at the end that lowers it (least) or raises it (not least), all together.

        Right where the value is monotone in each cause and no cause turns the effect of another around.
        """
        pick = min if least else max
        changes: dict[str, float] = {}
        for cause, ends in self.causes.items():
            both = [end[name] for end in self.at_ends[cause]]
            changes |= ends[both.index(pick(both))]
        return self.compute(**changes)[name]


def band_causes(bands: Mapping[str, tuple[str, Banded]]) -> dict[str, Ends]:
    """Causes from banded inputs, cause → (name of the input, its band); inputs without a band give none.

    Raises InputError for a value outside its band.
    """
    causes: dict[str, Ends] = {}
    for cause, (name, banded) in bands.items():
        low, high = banded.ends
        if not low <= banded.value <= high:
            raise InputError(
                f"{name}.value = {banded.value:g} must lie between low = {low:g} and high = {high:g}; correct one of them"
            )
        if high > low:
            causes[cause] = ({name: low}, {name: high})
    return causes


def tolerance_causes(dimensions: Mapping[str, tuple[str, float, Tolerance | None]]) -> dict[str, Ends]:
    """Causes from tolerances, cause → (name of the change, dimension in mm, its deviations); none without deviations."""
    causes = {}
    for cause, (name, size, tolerance) in dimensions.items():
        if tolerance and tolerance.upper > tolerance.lower:
            low, high = ({name: size + end} if end else {} for end in (tolerance.lower, tolerance.upper))
            causes[cause] = (low, high)
    return causes
