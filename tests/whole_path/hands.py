"""A person's hands: keys and typed text, whatever terminal they reach, and records entered with them."""

from __future__ import annotations

import asyncio
import re
from abc import ABC, abstractmethod
from pathlib import Path
from typing import Any

MOST_QUESTIONS = 120
TABLES, WORDS = ("tolerances.",), ("inputs.", "sources.", "numbers.")


class Hands(ABC):
    """What a person does at the terminal; `files` is the folder of the files at hand, `patience` how many looks more a
    question is waited for before there is none."""

    files: Path
    patience = 0

    @abstractmethod
    async def press(self, *keys: str) -> None:
        """Press keys by their names: "enter", "escape", "down", "f1", "a"."""

    @abstractmethod
    async def text(self, text: str) -> None:
        """Type a text."""

    @abstractmethod
    async def rows(self) -> list[str]:
        """What stands on the screen, row by row."""

    async def type(self, text: str) -> None:
        """Type a text and record it."""
        await self.text(text)
        await self.press("enter")

    async def message(self) -> str:
        """The message row."""
        return (await self.rows())[-3].strip()

    async def choose(self, words: str) -> None:
        """Take the choice of the strip that holds the words."""
        for _ in range(MOST_QUESTIONS):
            marked = [row for row in (await self.rows()) if row.startswith(" > ")]
            if marked and words in marked[-1]:
                await self.press("enter")
                return
            await self.press("down")
        raise AssertionError(f"no choice holds {words!r}:\n" + "\n".join(await self.rows()))

    async def asked(self, name: str) -> tuple[str, bool]:
        """The path that the strip asks of a record, and whether it is chosen; empty when nothing is asked."""
        rows = await self.rows()
        if not re.search(r"Enter (keep|go)\b", rows[-1]):
            return "", False
        text = "\n".join(rows[-16:-3])
        found = re.search(rf"(?:^|\s){re.escape(name)} ([a-z_]+(?:\.[a-z_0-9]+)*)", text)
        return (found[1], " ── " in text) if found else ("", False)

    async def fill(self, name: str, answers: dict[str, str], under: str = "") -> set[str]:
        """Answer the questions about a record from `answers` by path; what is not there is left empty."""
        done: set[str] = set()
        for _ in range(MOST_QUESTIONS):
            path, chosen = await self.asked(name)
            for _ in range(self.patience):
                path, chosen = (path, chosen) if path else await self.asked(name)
            if not path:
                assert "which answer is wrong" not in "".join(await self.rows()), "\n".join(await self.rows())
                return done
            full = f"{under}.{path}" if under else path
            if full in done:
                raise AssertionError(f"{full} is asked twice:\n" + "\n".join(await self.rows()))
            done.add(full)
            if chosen:
                await self.choose(answers.get(full, "leave it empty"))
            elif full in answers:
                await self.type(answers[full])
            else:
                await self.press("enter")
        raise AssertionError("the questions do not end")

    async def wait(self, words: str, seconds: float = 60.0) -> None:
        """Wait for words on the screen, as for long work."""
        for _ in range(int(seconds / 0.2)):
            if any(words in row for row in await self.rows()):
                return
            await asyncio.sleep(0.2)
        await self.expect(words)

    async def expect(self, words: str) -> None:
        """The words stand on the screen."""
        rows = await self.rows()
        assert any(words in row for row in rows), f"{words!r} is not on the screen:\n" + "\n".join(rows)


def answers_of(raw: dict[str, Any], under: str = "") -> dict[str, str]:
    """A record's fields as a person types them, by dotted path; an input of a calculation that is a table in one piece."""
    found: dict[str, str] = {}
    for name, value in raw.items():
        path = f"{under}.{name}" if under else name
        if isinstance(value, dict) and under != "inputs":
            found |= answers_of(value, path)
        elif isinstance(value, list) and value and isinstance(value[0], dict):
            for number, entry in enumerate(value):
                found |= answers_of(entry, f"{path}.{number}")
        else:
            found[path] = typed(value)
    return found


def typed(value: Any) -> str:
    """A value as it is typed."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, dict) and "record" in value:
        return f"{value['record']}.{value['field']}"
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{name} = {number!r}" for name, number in value.items()) + " }"
    if isinstance(value, list):
        return "; ".join(map(typed, value))
    return f"{value:.12g}" if isinstance(value, float) else str(value)


async def enter_record(hands: Hands, kind: str, raw: dict[str, Any]) -> None:
    """Begin a record on the register, answer its questions, then fill the rest on its page."""
    answers = answers_of({key: value for key, value in raw.items() if key != "id"})
    await hands.press("7", "g", "n")
    await hands.choose(f" {kind}")
    done = await hands.fill(raw["id"], answers)
    assert f"{raw['id']} added" in await hands.message(), "\n".join(await hands.rows())
    await fill_page(hands, raw["id"], {path: text for path, text in answers.items() if path not in done}, done)


async def fill_page(hands: Hands, name: str, answers: dict[str, str], there: set[str] | None = None) -> None:
    """On the page of a record: entries and parts by n, single fields by e. `there` are paths that are filled."""
    known = {parent for path in there or () for parent in _parents(path)}
    left = dict(answers)
    while left:
        path = next(iter(left))
        missing = next((parent for parent in _parents(path) if parent not in known), "")
        if path.startswith(WORDS):
            await _add_word(hands, path, left.pop(path))
        elif not missing:
            await change_field(hands, path, left.pop(path))
        else:
            await hands.press("n")
            await hands.choose(f"{_listed(missing)} ")
            if path.startswith(TABLES):
                await hands.type(missing.partition(".")[2])
            done = await hands.fill(name, left, missing)
            assert done, f"nothing was asked for {path}:\n" + "\n".join(await hands.rows())
            known |= {parent for found in done for parent in _parents(found)} | {missing}
            left = {path: text for path, text in left.items() if path not in done}


async def _add_word(hands: Hands, path: str, text: str) -> None:
    """One word more in a table of words: an input, a source."""
    table, _, name = path.partition(".")
    await hands.press("n")
    await hands.choose(f"{table} ")
    await (hands.choose(f"{name} ") if table == "inputs" else hands.type(name))
    await hands.type(text)
    assert "Recorded" in await hands.message(), "\n".join(await hands.rows())


async def change_field(hands: Hands, path: str, text: str) -> None:
    """Narrow the page of a record to a field and change it."""
    await hands.press("f")
    await hands.type(path)
    for _ in range(20):
        if any(re.match(rf" > {re.escape(path)[:30]}(\s|$)", row) for row in await hands.rows()):
            break
        await hands.press("down")
    await hands.press("e", "end")
    await hands.type(text)
    assert "Recorded" in await hands.message(), "\n".join(await hands.rows())


def _listed(place: str) -> str:
    """The list or table that an entry is of."""
    return place.partition(".")[0] if place.startswith(TABLES) else re.sub(r"[.][0-9]+$", "", place)


def _parents(path: str) -> list[str]:
    """The entries and parts that a path lies in, outermost first; a list itself is none."""
    if path.startswith(TABLES):
        return [path.rpartition(".")[0]]
    steps = path.split(".")
    found = [".".join(steps[:end]) for end in range(1, len(steps))]
    return [place for place, after in zip(found, steps[1:], strict=True) if not after.isdigit()]
