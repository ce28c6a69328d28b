"""The invented persons of the demos and their keys: derived from their names, so that a rebuilt demo is the same.

A key whose secret anybody can derive proves nothing; the document and README say that all is invented.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from pathlib import Path

from dossier.store.keys import PublicKey, key_path

PASSPHRASE = "invented for the demo"
AXLE_LINK = {
    "M. Olsen": "PE", "J. Adeyemi": "RV", "T. Lindqvist": "TL", "R. Iyer": "PR", "P. Novak": "PU", "S. Brandt": "SF",
    "R. Hale": "RL", "L. Moreau": "AU",
}  # fmt: skip
FOUR_POINT_LINK = {
    "E. Marek": "PE", "D. Okafor": "RV", "H. Tanaka": "TL", "C. Ruiz": "PR", "B. Nagy": "PU", "I. Dahl": "SF",
}  # fmt: skip


def place_keys(folder: Path, people: Iterable[str] = AXLE_LINK) -> dict[str, PublicKey]:
    """Write the private key of each person into `folder` (DOSSIER_KEYS must name it); returns the public keys."""
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
    from cryptography.hazmat.primitives.serialization import BestAvailableEncryption, Encoding, PrivateFormat

    folder.mkdir(parents=True, exist_ok=True)
    found = {}
    for name in people:
        secret = hashlib.sha256(f"demo key of {name}, worthless on purpose".encode()).digest()
        private = Ed25519PrivateKey.from_private_bytes(secret)
        lock = BestAvailableEncryption(PASSPHRASE.encode())
        key_path(name).write_bytes(private.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, lock))
        found[name] = PublicKey(private.public_key().public_bytes_raw())
    return found
