"""What contradicts itself in a project's records: dates out of order, parts used up and used again, names of nothing.

Each rule takes the files of a project, path → document, and yields what it found in words.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Iterator
from datetime import date, timedelta
from typing import Any

from tests.demo import evidence_plan
from tests.demo.papers import Paper, first_day

Files = dict[str, dict[str, Any]]
Record = dict[str, Any]

DATE = re.compile(r"\b20\d\d-\d\d-\d\d")
NAMED = re.compile(r"\b(?:[RALCEBKDMPQN]-\d{2,3}[a-d]?|RS-\d\d|V[12]|REF)\b")
LASTING = re.compile(r"(\d+) (d|h)\b")
# Fields, and words before a date, that look ahead.
AHEAD_FIELDS = ("until", "valid_until", "scale_valid_until")
AHEAD_WORDS = re.compile(r"(?:until|valid to) (20\d\d-\d\d-\d\d)")
FUTURE = "9999"


def records(files: Files) -> dict[str, Record]:
    """All records by id."""
    found: dict[str, Record] = {}
    for document in files.values():
        for entry in (document, *(e for value in document.values() if isinstance(value, list) for e in value)):
            if isinstance(entry, dict) and "id" in entry:
                found[entry["id"]] = entry
    return found


def dates_of(value: Any, field: str = "") -> Iterator[str]:
    """Every day that a value states as past: fields and texts, those that look ahead left out."""
    if isinstance(value, dict):
        for name, inner in value.items():
            yield from dates_of(inner, name)
    elif isinstance(value, list):
        for inner in value:
            yield from dates_of(inner, field)
    elif isinstance(value, str) and field not in AHEAD_FIELDS:
        yield from DATE.findall(AHEAD_WORDS.sub("", value))


def texts_of(value: Any) -> Iterator[str]:
    """Every text within a value."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict | list):
        for inner in value.values() if isinstance(value, dict) else value:
            yield from texts_of(inner)


def evidence(files: Files) -> list[Record]:
    """Evidence that was begun."""
    found = [document for path, document in files.items() if path.startswith("evidence/")]
    return [item for item in found if item["state"] != "planned"]


def parts_of(item: Record) -> list[str]:
    """Specimens of an item, each once."""
    return list(dict.fromkeys(sample["specimen"] for sample in item.get("samples", [])))


def parts_are_older(files: Files) -> Iterator[str]:
    known = records(files)
    for item in evidence(files):
        for part in parts_of(item):
            if date.fromisoformat(known[part]["cured_on"]) + timedelta(days=1) > date.fromisoformat(item["started_on"]):
                yield f"{item['id']} began on {item['started_on']}, {part} was cured on {known[part]['cured_on']}"


def calibrated_then(files: Files) -> Iterator[str]:
    known = records(files)
    for item in evidence(files):
        for name in item.get("equipment", []):
            for channel in known[name]["channel"]:
                if not channel["calibrated_on"] <= item["started_on"] <= item["done_on"] <= channel["valid_until"]:
                    yield f"{item['id']} from {item['started_on']}: {name} was calibrated on {channel['calibrated_on']}"


def one_after_the_other(files: Files) -> Iterator[str]:
    """A part is in one test at a time, unless both are the same run, and never again once it is used up."""
    planned = {item.id: item for item in (*evidence_plan.RELEASED, *evidence_plan.NEXT)}
    used: dict[str, list[Record]] = defaultdict(list)
    for item in evidence(files):
        if item["way"] != "analysis":
            for part in parts_of(item):
                used[part].append(item)
    for part, items in used.items():
        items.sort(key=lambda item: (item["started_on"], item["done_on"], item["id"]))
        for at, first in enumerate(items):
            for second in items[at + 1 :]:
                span, after = (first["started_on"], first["done_on"]), (second["started_on"], second["done_on"])
                if span != after and second["started_on"] < first["done_on"]:
                    yield f"{part} is in {first['id']} until {first['done_on']} and in {second['id']} from {second['started_on']}"
                before, later = planned.get(first["id"]), planned.get(second["id"])
                allowed = later.remains_of if later else ()
                if before and before.destroys and span != after and first["id"] not in allowed:
                    yield f"{part} is used up in {first['id']} and tested again in {second['id']}"


def long_enough(files: Files) -> Iterator[str]:
    """Days and hours that a procedure names lie between its first and last day, and so does the conditioning."""
    for item in evidence(files):
        if item["way"] == "analysis" or item["state"] != "finished":
            continue
        spent = (date.fromisoformat(item["done_on"]) - date.fromisoformat(item["started_on"])).days
        named = [int(number) / (1 if unit == "d" else 24) for number, unit in LASTING.findall(item["procedure"])]
        for days in named:
            if spent < int(days):
                yield f"{item['id']} took {spent} days, its procedure names {days:g}"
        if item.get("conditioning", 0) > 86400 and spent < item["conditioning"] / 86400:
            yield f"{item['id']} took {spent} days, its conditioning {item['conditioning'] / 86400:g}"


def as_many_as_planned(files: Files) -> Iterator[str]:
    known = records(files)
    for item in evidence(files):
        if item["way"] == "analysis":
            continue
        references = [part for part in parts_of(item) if known[part]["design"] == item.get("reference")]
        counts = (len(parts_of(item)) - len(references), len(references))
        planned = (item.get("planned_variant", 0), item.get("planned_reference", 0))
        if counts != planned and item["state"] != "planned":
            yield f"{item['id']}: {counts} parts tested, {planned} planned"


def every_part_is_used(files: Files) -> Iterator[str]:
    used = {part for item in evidence(files) for part in parts_of(item)}
    for specimen in files.get("specimens.toml", {}).get("specimen", []):
        if specimen["id"] not in used:
            yield f"{specimen['id']} is in no test"


def computed_after_inputs(files: Files) -> Iterator[str]:
    known = records(files)
    for path, document in files.items():
        computed = document.get("result", {}).get("computed_at", FUTURE)[:10]
        if path.startswith("evidence/") and computed < document.get("done_on", ""):
            yield f"{document['id']} was evaluated on {computed}, done on {document['done_on']}"
        if path.startswith("calculations/"):
            named = {text for text in texts_of(document.get("inputs", {})) if text in known}
            for name in named:
                if computed < known[name].get("accepted_on", ""):
                    yield f"{document['id']} was computed on {computed}, {name} accepted on {known[name]['accepted_on']}"
            if document["method"] in ("cost.piece", "co2.saving"):
                price = files["cost.toml"]["variant"]["basis"]["price_date"]
                if computed < price:
                    yield f"{document['id']} was computed on {computed} with prices of {price}"


def agreed_in_a_document(files: Files) -> Iterator[str]:
    """Agreements name a registered document of their day, and margins are agreed before the test."""
    known = records(files)
    for name, record in known.items():
        for agreed in (record.get("agreed"), record.get("margin", {}).get("agreed")):
            if agreed and known.get(agreed["document"], {}).get("on") != agreed["on"]:
                yield f"{name} is agreed on {agreed['on']} in {agreed['document']}, which is not of that day"
            if agreed and agreed["on"] >= record.get("started_on", FUTURE):
                yield f"{name} began on {record['started_on']}, its margin was agreed on {agreed['on']}"


def said_of_what_was_there(files: Files, papers: tuple[Paper, ...]) -> Iterator[str]:
    """What persons answer and concede names records that exist, documents already written and days already past."""
    known = records(files)
    known |= {entry["id"]: entry for path in files if path.startswith("steps/") for entry in files[path].get("concession", [])}
    for path in files:
        for entry in (*files[path].get("answer", []), *files[path].get("concession", [])) if path.startswith("steps/") else ():
            day, who = entry["on"][:10], entry.get("check") or entry["id"]
            told = " ".join(entry.get(name, "") for name in ("remark", "reason", "limit", "document"))
            for name in NAMED.findall(told):
                if name not in known:
                    yield f"{who} names {name}, which is no record"
                elif day < known[name].get("done_on", known[name].get("accepted_on", "")):
                    yield f"{who} of {day} names {name}, which was not done"
                elif name.startswith("B-") and day < first_day(papers, name):
                    yield f"{who} of {day} names {name} of {first_day(papers, name)}"
            for stated in dates_of(told):
                if stated > day:
                    yield f"{who} of {day} tells of {stated}"
            if "until" in entry and not entry.get("document"):
                yield f"{who} names no document that holds the customer's acceptance"


RULES: tuple[Callable[[Files], Iterator[str]], ...] = (
    parts_are_older, calibrated_then, one_after_the_other, long_enough, as_many_as_planned, every_part_is_used,
    computed_after_inputs, agreed_in_a_document,
)  # fmt: skip


def contradictions(files: Files, papers: tuple[Paper, ...]) -> list[str]:
    """Everything that all rules find; `papers` are the documents of the demo."""
    return [*(found for rule in RULES for found in rule(files)), *said_of_what_was_there(files, papers)]
