"""What an action answers when it cannot do what was asked."""

from __future__ import annotations


class Refusal(ValueError):
    """An action that was not carried out; the message names field, limit, given value and remedy."""
