"""From a new project to a signed release, by keys: what the engineer does, and what the reviewer does."""

from __future__ import annotations

import re
from collections.abc import Awaitable, Callable
from pathlib import Path

from tests.whole_path.hands import Hands, change_field, enter_record
from tests.whole_path.records import CONCESSIONS, ENGINEER, PASSPHRASE, REVIEWER, ROLES, VALUES, WORKS
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
    """The reviewer and the works join."""
    for name, roles in ROLES.items():
        await hands.press("9", "n")
        await hands.choose("a person of this project")
        await hands.type(name)
        await hands.type(roles)
        await hands.expect(f"{name} added")


async def enter_all(hands: Hands) -> None:
    """All records of the small joint."""
    for kind, raw in all_records():
        await enter_record(hands, kind, raw)
        if kind == "document":
            await change_field_of_file(hands, hands.files / f"{raw['id']}.txt")
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


async def evidence(hands: Hands) -> None:
    """Weighings and curves into the planned tests."""
    for item, values in VALUES.items():
        await _state(hands, item, "running")
        for specimen, text in values.items():
            await _at(hands, item)
            await hands.press("n")
            await hands.choose("the result of one specimen")
            await hands.choose(specimen)
            await hands.type(text)
        await _state(hands, item, "finished")
    await hands.press("4", "n")
    await hands.choose("a reading scheme")
    await hands.type(str(hands.files / "E-002-P-001.csv"))
    await hands.press("enter")
    await hands.type("machine M-3, radial")
    await hands.choose("between two loads")
    await hands.type("-11 kN .. 11 kN; 4")
    assert "RS-001" in await hands.message() or "added" in await hands.message(), await hands.message()
    await _state(hands, "E-002", "running")
    await _at(hands, "E-002")
    await hands.press("n")
    await hands.choose("measured files into E-002")
    await hands.type(str(hands.files / "E-002-P-*.csv"))
    await hands.choose("fits the file")
    await hands.wait("take 6 files in")
    await hands.choose("take 6 files in")
    await hands.wait("6 curves imported")
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


async def sign(hands: Hands, step: str) -> str:
    """Sign a step on its last page; what was said."""
    await _review(hands, step)
    for _ in range(20):
        if any(">to sign" in row for row in await hands.rows()):
            break
        await hands.press("right")
    await hands.press("enter")
    rows = "\n".join(await hands.rows())
    if f"Sign step {step}" not in rows:
        return await hands.message()
    await hands.text(PASSPHRASE)
    await hands.press("enter")
    await hands.wait("the passphrase is not kept")
    return await hands.message()


async def freeze(hands: Hands) -> None:
    """Freeze revision A."""
    await hands.press("6", "n")
    await hands.text(PASSPHRASE)
    await hands.press("enter")
    await hands.wait("Revision A is frozen", 120)


# Who does what, in this order --------------------------------------------------------------------------------------

Job = Callable[[Hands], Awaitable[None]]


async def _design_and_test(hands: Hands) -> None:
    await make_key(hands)
    await people(hands)
    await enter_all(hands)
    await evidence(hands)
    await hands.press("C")
    await hands.wait("calculations run")
    await concede(hands)


async def _answer(hands: Hands) -> None:
    for step in STEPS:
        await accept(hands, step)


async def _first_answer(hands: Hands) -> None:
    await make_key(hands)
    await _answer(hands)


async def _answer_and_sign(hands: Hands) -> None:
    """Until nothing more can be signed: a step may be signed in several roles."""
    for step in STEPS:
        await accept(hands, step)
        while "released by" in await sign(hands, step):
            pass


JOBS: tuple[tuple[str, Job], ...] = (
    (ENGINEER, _design_and_test),
    (ENGINEER, _answer),
    (WORKS, _first_answer),
    (REVIEWER, _first_answer),
    (ENGINEER, _answer_and_sign),
    (WORKS, _answer_and_sign),
    (REVIEWER, _answer_and_sign),
    (ENGINEER, _answer_and_sign),
    (WORKS, _answer_and_sign),
    (REVIEWER, _answer_and_sign),
    (WORKS, freeze),
)
