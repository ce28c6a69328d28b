"""The result with the samples that were left out, to stand beside the one without them."""

from __future__ import annotations

from collections.abc import Callable

from dossier.evidence.errors import UnreadableFile
from dossier.methods.evidence_base import GroupsInput, SampleIn, compared_groups, group_values, ratio_values
from dossier.records.calculation import ResultValue

SUFFIX = "_with_left_out"
# Values told of each group and of their ratio.
TOLD = ("variant", "n_variant", "reference", "n_reference", "ratio")


def left_out_values(
    given: GroupsInput, means: dict[str, list[float]], unit: str, measure: Callable[[SampleIn], float], notes: list[str]
) -> list[ResultValue]:
    """Means, counts and ratio with what was left out, "variant_with_left_out" and so on; nothing where nothing was.

    `means` are the values of the samples that count, in their order. A run that was left out stands in the place of a
    later run of the same specimen. What cannot be evaluated is told in `notes`.
    """
    if given.left_out is None:
        return []
    samples: dict[str, list[SampleIn]] = {}
    values: dict[str, list[float]] = {}
    for name in ("variant", "reference"):
        known = {s.specimen: (s, v) for s, v in zip(getattr(given, name), means.get(name, []), strict=False)}
        for sample in getattr(given.left_out, name):
            try:
                known[sample.specimen] = (sample, measure(sample))
            except (ValueError, UnreadableFile) as error:
                notes.append(f"{sample.specimen}, left out, cannot be evaluated: {error}")
        samples[name] = [sample for sample, _ in known.values()]
        values[name] = [value for _, value in known.values()]
    if values == {name: list(means.get(name, [])) for name in values}:
        return []
    found = [value for name in values if values[name] for value in group_values(name, values[name], unit, given.budget)]
    found += ratio_values(given, compared_groups(given.model_copy(update=samples), values)[0])
    return [value.model_copy(update={"name": value.name + SUFFIX}) for value in found if value.name in TOLD]
