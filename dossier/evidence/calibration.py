"""What the class on a calibration certificate says about the error of a channel.

Limits of the relative error of indication, from memory, not checked against the texts: ISO 7500-1 (force) classes 0.5,
1, 2 and 3; ISO 9513 (displacement) classes 0.2, 0.5, 1 and 2. The absolute limits that ISO 9513 allows for small travels
(0.6, 1.5, 3 and 6 µm) are not in it: state them as a line of their own where they are larger.
"""

from __future__ import annotations

import math
import re

from dossier.evidence.errors import EvaluationError

LIMITS = {
    "force": ("ISO 7500-1", {"0.5": 0.005, "1": 0.01, "2": 0.02, "3": 0.03}),
    "displacement": ("ISO 9513", {"0.2": 0.002, "0.5": 0.005, "1": 0.01, "2": 0.02}),
}
_CLASS = re.compile(r"(?:class\s*|^)(\d+(?:[.,]\d+)?)\s*$", re.IGNORECASE)


def class_limit(quantity: str, classification: str) -> float:
    """Relative error (−) that the class of a "force" or "displacement" channel allows, such as "ISO 7500-1 class 1".

    Raises EvaluationError for another quantity or a class that is not known.
    """
    if quantity not in LIMITS:
        raise EvaluationError(f"a {quantity} channel has no class with known limits; state its uncertainty (k = 2)")
    standard, limits = LIMITS[quantity]
    found = _CLASS.search(classification.strip())
    limit = limits.get(found[1].replace(",", ".")) if found else None
    if limit is None:
        known = ", ".join(limits)
        raise EvaluationError(f'classification = "{classification}" is no class of {standard} ({known}); state the uncertainty')
    return limit


def standard_of_class(quantity: str, classification: str) -> float:
    """Relative standard uncertainty (−) of a channel of that class: rectangular within its limit. Raises as above."""
    return class_limit(quantity, classification) / math.sqrt(3)
