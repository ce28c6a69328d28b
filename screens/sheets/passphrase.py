"""The field that asks for the passphrase of a key, tried before the question closes."""

from __future__ import annotations

from dossier.store import keys
from dossier.store.errors import StoreError
from screens.widgets.question import Needed


def passphrase_of(person: str) -> Needed:
    """A hidden field that takes only the passphrase that opens the person's key."""

    def fault(text: str) -> str:
        try:
            keys.sign(person, text, b"")
        except (StoreError, OSError) as error:
            return str(error)
        return ""

    return Needed("passphrase", "passphrase of your key", secret=True, check=fault)
