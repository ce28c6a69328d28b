"""The fixture's compliance for a reading scheme, from the file of a blank test."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from dossier.actions.measured import channels_of
from dossier.actions.refusal import Refusal
from dossier.evidence.blank import fixture_compliance
from dossier.evidence.errors import EvaluationError, UnreadableFile
from dossier.evidence.form import ReadingScheme
from dossier.evidence.reading import read_curve
from dossier.evidence.sniff import sniff


def compliance_of_blank(file: Path, columns: Sequence[str] = ()) -> tuple[float, str]:
    """Compliance in mm/N or °/(N·mm), and in words where it comes from, with its standard uncertainty. Raises Refusal."""
    try:
        form = sniff(file)
        curve = read_curve(file, ReadingScheme.from_form(form, channels_of(form, columns), 1))
        if curve.problems:
            raise Refusal(f"{curve.problems[0]}; the compliance was not taken")
        load, travel = ("torque", "angle") if "torque" in curve.channels else ("force", "displacement")
        found = fixture_compliance(curve.channel(travel), curve.channel(load))
    except (UnreadableFile, EvaluationError, ValueError, KeyError, OSError) as error:
        raise Refusal(f"blank test {file.name}: {error}") from error
    unit = "°/(N·mm)" if load == "torque" else "mm/N"
    ways = f"{found.branches} way{'' if found.branches == 1 else 's'}"
    told = f"blank test {file.name}: {found.compliance:.4g} ± {found.uncertainty:.2g} {unit} (standard, {ways})"
    return found.compliance, "; ".join((told, *found.notes))
