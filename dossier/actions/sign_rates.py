"""Error rates of the search for signs on the sampling and noise of an item's own curve, by simulation."""

from __future__ import annotations

from dossier.actions.refusal import Refusal
from dossier.evidence.errors import EvaluationError, UnreadableFile
from dossier.evidence.form import ReadingScheme
from dossier.evidence.reading import read_curve
from dossier.evidence.sign_rates import SignRates, sampling_of, simulate_rates
from dossier.evidence.sign_thresholds import SignThresholds
from dossier.methods.evidence_files import raw_files_of
from dossier.methods.evidence_links import CURVES, counted
from dossier.records.evidence import EvidenceItem, SchemeRecord
from dossier.store.errors import StoreError
from dossier.store.project import Project


def rates_of_item(project: Project, item_id: str, count: int, seed: int) -> SignRates:
    """Simulated error rates with the item's scheme and the sampling of its first counted curve. Raises Refusal."""
    item = project.get(item_id)
    if not isinstance(item, EvidenceItem) or item.quantity not in CURVES:
        raise Refusal(f"{item_id} is no evidence of a stiffness curve; name an item of {', '.join(CURVES)}")
    scheme = project.find(item.scheme)
    sample = next((sample for sample in counted(item) if sample.file), None)
    if not isinstance(scheme, SchemeRecord) or sample is None:
        raise Refusal(f"{item_id} has no measured file with a reading scheme yet; import its curves")
    load, travel = ("torque", "angle") if item.quantity in ("torsional", "conical") else ("force", "displacement")
    limits = SignThresholds(**scheme.signs.model_dump()) if scheme.signs else SignThresholds()
    try:
        path = raw_files_of(project.folder)(sample.file)
        curve = read_curve(path, ReadingScheme.from_dict(scheme.reading), name=sample.file_name)
        return simulate_rates(sampling_of(curve.channel(travel), curve.channel(load)), limits, count=count, seed=seed)
    except (EvaluationError, UnreadableFile, StoreError, KeyError) as error:
        raise Refusal(f"{sample.file_name}: {error}") from error
