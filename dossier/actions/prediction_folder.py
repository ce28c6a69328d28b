"""Prediction error so far over all projects of a folder, and its acceptance as an assumption."""

from __future__ import annotations

from dataclasses import dataclass, field

from dossier.actions.edit import add_record, next_id
from dossier.actions.opened import Opened
from dossier.actions.refusal import Refusal
from dossier.checks.told_prediction_error import Pair, error_words, errors_by_method, pairs_of
from dossier.evidence.prediction import PredictionError
from dossier.store.change import Change
from dossier.store.errors import StoreError

TITLE = "Prediction error so far"
FEW = 5


@dataclass
class FolderErrors:
    """Pairs of all readable projects, the error of each method, and which folders could not be read."""

    pairs: list[Pair] = field(default_factory=list)
    projects: list[str] = field(default_factory=list)
    unread: list[str] = field(default_factory=list)

    @property
    def errors(self) -> dict[str, PredictionError]:
        """By method."""
        return errors_by_method(self.pairs)


def folder_errors(opened: Opened) -> FolderErrors:
    """Pairs of the project and of every other project in the folder it lies in; the others are only read."""
    root = opened.folder.root.resolve()
    found = FolderErrors(pairs_of(opened.view), [root.name])
    for path in sorted(root.parent.iterdir()):
        if path == root or not (path / "project.toml").is_file():
            continue
        try:
            other = Opened(path, use_cache=False, today=opened.today)
        except (StoreError, Refusal, OSError, ValueError) as error:
            found.unread.append(f"{path.name}: {str(error).splitlines()[0]}")
            continue
        found.projects.append(path.name)
        found.pairs += pairs_of(other.view)
    return found


def accept_error(opened: Opened, method: str, author: str) -> Change:
    """An accepted assumption with the band of measured/predicted for the next prediction of a method. Raises Refusal."""
    found = folder_errors(opened)
    error = found.errors.get(method)
    if error is None or error.low is None or error.high is None:
        known = ", ".join(name for name, one in found.errors.items() if one.count > 1) or "none"
        count = error.count if error else 0
        raise Refusal(f"{method} has {count} pairs of prediction and test, 2 are needed; enough have: {known}")
    names = ", ".join(dict.fromkeys(pair.project for pair in found.pairs if pair.method == method and not pair.doubt))
    few = f" Fewer than {FEW} pairs: the band is wide because little is known." if error.count < FEW else ""
    raw = {
        "id": next_id(opened.project, "assumption"),
        "title": f"{TITLE}, {method}",
        "statement": f"Measured over predicted of the next prediction lies in this band, n = {error.count}.",
        "value": error.bias, "low": error.low, "high": error.high, "unit": "-",
        "reason": f"{error_words(error)}. Projects: {names}. Pairs of one project are not independent.{few}",
        "accepted_by": author, "accepted_on": opened.today.isoformat(),
    }  # fmt: skip
    message = f"{raw['id']} accepted: prediction error so far of {method}, n = {error.count}"
    return add_record(opened.project, "assumption", raw, author, message=message)
