"""Which class shows which sheet."""

from __future__ import annotations

from importlib import import_module

from screens.sheets.sheet import Sheet

_CLASSES = {
    "0": ("standing", "StandingSheet"),
    "1": ("idea", "IdeaSheet"),
    "2": ("requirements", "RequirementsSheet"),
    "3": ("design", "DesignSheet"),
    "4": ("evidence", "EvidenceSheet"),
    "5": ("cost", "CostSheet"),
    "6": ("release", "ReleaseSheet"),
    "7": ("trace", "TraceSheet"),
    "8": ("changes", "ChangesSheet"),
    "9": ("review", "ReviewSheet"),
}


def sheet_class(number: str) -> type[Sheet]:
    """The class of a sheet. Its module is imported at its first showing."""
    module, name = _CLASSES[number]
    return getattr(import_module(f"screens.sheets.{module}"), name)
