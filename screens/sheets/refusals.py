"""Every verb of the table on every sheet: where a sheet has no use for one, the key says so and names the place."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from screens import keys

# What a verb's key says on a sheet that has no use for it.
NO_USE = {
    "accept": "Nothing waits for an answer here; a answers items on 9 and signs on a curve, and takes outside edits in on 8.",
    "withhold": "Nothing waits for an answer here; w withholds items on 9 Review and restores files on 8 Changes.",
    "both": "Nothing stands side by side here; b works on 3 Design and on a curve.",
    "calculate": "Nothing under the cursor can be calculated; C calculates everything outdated.",
    "difference": "Nothing is compared here; d works on 1 Idea, 3 Design and 8 Changes.",
    "edit": "Nothing under the cursor can be edited here; the record's own sheet (1 to 5) edits it.",
    "group": "This list is short and in its own order; g sorts 2 Requirements and chooses the step on 9 Review.",
    "detail": "No number under the cursor; i shows the working of a calculated value.",
    "concede": "Only a requirement is conceded here: k works on 2 Requirements, `dossier concede` concedes a check.",
    "load": "No drawing or curve here; l shows the utilisation on 3 Design and the next pair on a curve.",
    "load-before": "No drawing or curve here; L shows the load case before on 3 Design and the pair before on a curve.",
    "new": "Nothing new begins on this sheet; n works on 1 Idea, 2 Requirements, 3 Design, and on 6 it freezes.",
    "next-open": "This sheet lists nothing that can be open; 0 Standing lists what stops the next step.",
    "previous-open": "This sheet lists nothing that can be open; 0 Standing lists what stops the next step.",
    "print": "This sheet has no chapter of its own; p on 6 Release prints the document.",
    "variant": "One variant is in work here; v changes it on 1 Idea and 3 Design.",
    "cross-out": "Nothing under the cursor can be crossed out; u takes your newest change back.",
    "zoom-in": "Nothing is drawn here; z works on 3 Design and on a curve.",
    "zoom-out": "Nothing is drawn here; Z works on 3 Design and on a curve.",
}


def _action(key_id: str) -> Callable[[Any], None]:
    def say_why_not(self: Any) -> None:
        self.say(NO_USE[key_id])

    say_why_not.__doc__ = f"Says why {keys.entry(key_id).word} is of no use here."
    say_why_not.no_use = NO_USE[key_id]  # type: ignore[attr-defined]
    return say_why_not


class SaysWhyNot:
    """Mixin giving the action of every verb; a sheet overrides those it has a use for."""


for _key_id in NO_USE:
    setattr(SaysWhyNot, f"action_{_key_id.replace('-', '_')}", _action(_key_id))


def no_use(screen: Any, key_id: str) -> str:
    """Why the key is of no use on `screen` now, or nothing when it does something there or in what has the keys on it."""
    told = getattr(getattr(screen, f"action_{key_id.replace('-', '_')}", None), "no_use", "")
    if not told:
        return ""
    within = [item for item in getattr(screen, "active_bindings", {}).values() if item.node is not screen]
    return "" if any(item.binding.id == key_id for item in within) else told
