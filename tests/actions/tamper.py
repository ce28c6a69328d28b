"""Altering files bit by bit, and what `verify` says of it."""

from __future__ import annotations

import random
from pathlib import Path

from dossier.actions.verify import Verification

FLIPS = 3  # places to choose from in each file: beginning, end, and one by a seed


def faults(found: Verification) -> list[str]:
    return [fault for line in found.lines for fault in line.faults]


def fault_lines(found: Verification) -> dict[str, list[str]]:
    return {line.what: line.faults for line in found.lines if line.faults}


def flipped(data: bytes, at: int, bit: int) -> bytes:
    return data[:at] + bytes([data[at] ^ (1 << bit)]) + data[at + 1 :]


def places(name: str, size: int, count: int = FLIPS) -> list[tuple[int, int]]:
    chance = random.Random(name)
    ends = [(0, 0), (size - 1, 7)]
    return [*ends, *((chance.randrange(size), chance.randrange(8)) for _ in range(count - 2))]


def altered(file: Path, at: int, bit: int) -> bytes:
    good = file.read_bytes()
    file.chmod(0o644)
    file.write_bytes(flipped(good, at, bit))
    return good
