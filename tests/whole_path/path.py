"""From a new project to a signed release, by keys: what the engineer does, and what the reviewer does."""

from __future__ import annotations

import re
from pathlib import Path

from tests.whole_path.hands import Hands, change_field, enter_record
from tests.whole_path.records import CONCESSIONS, PASSPHRASE, REVIEWER, ROLES, SAMPLES
from tests.whole_path.records import records as all_records

STEPS = {"1": "Idea", "2": "Requirements", "3": "Design", "4": "Evidence", "5": "Cost", "6": "Release"}


async def begin(hands: Hands, title: str) -> None:
    """A project of that title, opened."""
    await hands.press("n")
    await hands.type(title)
    await hands.press("enter")
    await hands.expect("0 Standing")


async def make_key(hands: Hands) -> None:
    """A signing key, entered in the project."""
    await hands.press("9", "n")
    await hands.choose("a signing key of mine")
    for _ in range(2):
        await hands.text(PASSPHRASE)
        await hands.press("down")
    await hands.press("up", "enter")
    assert "public key of" in await hands.message()


async def people(hands: Hands) -> None:
    """The reviewer joins."""
    await hands.press("9", "n")
    await hands.choose("a person of this project")
    await hands.type(REVIEWER)
    await hands.type(ROLES)
    await hands.expect(f"{REVIEWER} added")


async def records(hands: Hands, document: Path) -> None:
    """All records of the small joint."""
    for kind, raw in all_records():
        await enter_record(hands, kind, raw)
        if kind == "document":
            await change_field_of_file(hands, document)
    await hands.press("7", "g", "f")
    await hands.type("project")
    await hands.press("enter")
    await change_field(hands, "annual_volume", "12000")


async def change_field_of_file(hands: Hands, document: Path) -> None:
    """The file of the document whose page is open."""
    await hands.press("f")
    await hands.type("file")
    await hands.press("e")
    await hands.type(str(document))
    assert "file attached" in await hands.message(), await hands.message()


async def evidence(hands: Hands, files: Path) -> None:
    """Weighings and curves into the planned tests."""
    await _state(hands, "E-001", "running")
    for specimen, mass in SAMPLES.items():
        await _at(hands, "E-001")
        await hands.press("n")
        await hands.choose("the result of one specimen")
        await hands.choose(specimen)
        await hands.type(f"{mass} kg")
    await _state(hands, "E-001", "finished")
    await hands.press("4", "n")
    await hands.choose("a reading scheme")
    await hands.type(str(files / "E-002-P-001.csv"))
    await hands.press("enter")
    await hands.type("machine M-3, radial")
    await hands.choose("between two loads")
    await hands.type("-11 kN .. 11 kN; 4")
    assert "RS-001" in await hands.message() or "added" in await hands.message(), await hands.message()
    await _state(hands, "E-002", "running")
    await _at(hands, "E-002")
    await hands.press("n")
    await hands.choose("measured files into E-002")
    await hands.choose("RS-001")
    await hands.type(str(files / "E-002-P-*.csv"))
    await hands.choose("take 6 files in")
    assert "6 curves imported" in await hands.message(), await hands.message()
    await _state(hands, "E-002", "finished")


async def _at(hands: Hands, item: str) -> None:
    await hands.press("4", "home")
    for _ in range(10):
        if any(row.startswith(f" > {item}") for row in await hands.rows()):
            return
        await hands.press("down")
    raise AssertionError(f"{item} is not on sheet 4")


async def _state(hands: Hands, item: str, state: str) -> None:
    await _at(hands, item)
    await hands.press("e")
    await hands.choose(f"{item} is {state}")
    await hands.press("enter")
    assert state in await hands.message(), await hands.message()


async def concede(hands: Hands) -> None:
    """The deviations, each with its reason."""
    for check, reason in CONCESSIONS.items():
        await _review(hands, check[0], check)
        await hands.press("k")
        for text in (reason, "prototypes of 2026", "2027-12-31"):
            await hands.text(text)
            await hands.press("down")
        await hands.press("enter")
        assert "conceded until" in await hands.message(), "\n".join(await hands.rows())


async def _review(hands: Hands, step: str, check: str = "") -> None:
    """Sheet 9 at a step, and at one of its checks."""
    await hands.press("9", "g")
    await hands.choose(f"{step} {STEPS[step]}")
    for _ in range(20):
        if not check or any(row.startswith(f" {check} ") for row in await hands.rows()):
            return
        await hands.press("right")
    raise AssertionError(f"check {check} is not on sheet 9")


async def accept(hands: Hands, step: str) -> list[str]:
    """Accept every item of a step that can be accepted, reading each to its end; what was said of the others."""
    await _review(hands, step)
    refused: dict[str, str] = {}
    for _ in range(60):
        rows = await hands.rows()
        item = next((found[1] for row in rows if (found := re.match(r" ([1-6]\.\d+)  ", row))), "")
        if not item or item in refused:
            break
        await hands.press("a")
        while "below, page down" in await hands.message():
            await hands.press("pagedown", "a")
        if f"{item} accepted" not in await hands.message():
            refused[item] = await hands.message()
            await hands.press("right")
    return list(refused.values())


async def sign(hands: Hands, step: str) -> None:
    """Sign a step on its last page."""
    await _review(hands, step)
    await hands.press("end")
    for _ in range(20):
        await hands.press("right")
    await hands.press("enter")
    await hands.text(PASSPHRASE)
    await hands.press("enter")


async def freeze(hands: Hands) -> None:
    """Freeze revision A."""
    await hands.press("6", "n")
    await hands.text(PASSPHRASE)
    await hands.press("enter")


