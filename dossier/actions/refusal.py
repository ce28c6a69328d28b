"""What an action answers when it cannot do what was asked."""

from __future__ import annotations


class Refusal(ValueError):
    """An action that was not carried out; the message names field, limit, given value and remedy."""


def words_of(error: Exception) -> str:
    """The message of an error as it is told; a KeyError's without the quotes Python puts around it."""
    return str(error.args[0]) if isinstance(error, KeyError) and error.args else str(error)
