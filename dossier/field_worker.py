"""Fields of utilisation from a process that stays warm: `python -m dossier.field_worker`.

Each line of stdin asks for one: {"number", "given"}, the input of `section.strength` as plain data. One line of stdout
answers it: {"number", "field"} as `plain_field` says it, or {"number", "refused": text}. The process reads no project and
ends when stdin does, so that it never outlives whoever started it.
"""

from __future__ import annotations

import json
import sys
from typing import Any

from dossier.methods.section_field import plain_field, utilisation_field
from dossier.methods.section_strength import SectionStrengthInput


def main() -> int:
    """Answer until nobody asks any more."""
    for asked in sys.stdin:
        try:
            sys.stdout.write(json.dumps(_answer(json.loads(asked))) + "\n")
            sys.stdout.flush()
        except BrokenPipeError:
            return 0
    return 0


def _answer(asked: dict[str, Any]) -> dict[str, Any]:
    try:
        field = utilisation_field(SectionStrengthInput.model_validate(asked["given"]))
    except (ArithmeticError, LookupError, RuntimeError, ValueError) as error:
        return {"number": asked["number"], "refused": str(error)}
    return {"number": asked["number"], "field": plain_field(field)}


if __name__ == "__main__":
    sys.exit(main())
