"""Standards that records cite: known to the project's register, with edition, confirmed lately, not withdrawn."""

from __future__ import annotations

import re
from calendar import monthrange
from collections import Counter
from collections.abc import Iterable, Iterator
from datetime import date

from dossier.checks.base import Finding
from dossier.checks.view import View
from dossier.records.evidence import EvidenceItem
from dossier.records.requirement import Requirement
from dossier.records.standard import Standard

Citing = Requirement | EvidenceItem
MONTHS_VALID = 12
UNCONFIRMED = ("from memory", "not confirmed", "not known")

# "ISO 37", "DIN EN ISO 9227", "VDI 2230-1", "ASTM D429", "ISO/IEC 17025".
_MENTION = re.compile(r"\b((?:(?:ISO|IEC|IEEE|EN|DIN|VDI|ASTM)[ /])+)([A-Z]?\d[\dA-Z]*(?:-\d+)*)")
_NATIONAL = ("DIN", "EN")


def standard_findings(view: View, citing: Iterable[Citing]) -> list[Finding]:
    """What is wrong with the standards these records cite, each standard told once."""
    records = list(citing)
    findings: list[Finding] = []
    cited: dict[str, str] = {}
    known = {_plain(standard.number) for standard in view.project.standards}
    for record in records:
        for name in record.standards:
            if isinstance(view.project.find(name), Standard):
                cited.setdefault(name, record.id)
            else:
                remedy = "names no standard of the register; add it to standards.toml or correct the id"
                findings.append(Finding(record.id, "standards", name, remedy))
        findings += _unregistered(known, record)
    for name in cited:
        findings += _faults(view, view.project.get(name))  # type: ignore[arg-type]
    return findings + list(_two_editions(view))


def cited_count(records: Iterable[Citing]) -> int:
    """How many different standards the records cite."""
    return len({name for record in records for name in record.standards})


def standards_named(text: str) -> list[str]:
    """Numbers of standards that a free text names, as written: "EN 10083-3", "DIN EN ISO 9227"."""
    return [match.group(0) for match in _MENTION.finditer(text)]


def same_standard(number: str, other: str) -> bool:
    """Whether two numbers name one standard, or one names the other's series: "DIN EN ISO 9227" and "ISO 9227"."""
    one, two = _plain(number), _plain(other)
    return one == two or one.startswith(f"{two}-") or two.startswith(f"{one}-")


def edition_confirmed(standard: Standard) -> bool:
    """Whether a person confirmed the edition and no text of the record takes that back."""
    told = f"{standard.edition} {standard.remark}".lower()
    return bool(standard.edition and standard.confirmed_by) and not any(words in told for words in UNCONFIRMED)


def _faults(view: View, standard: Standard) -> Iterator[Finding]:
    if not standard.edition:
        yield Finding(standard.id, "edition", "", f"is empty; give the edition of {standard.number} that applies")
    if standard.confirmed_on is None or not standard.confirmed_by:
        field = "confirmed_by" if standard.confirmed_on else "confirmed_on"
        remedy = f"is empty; compare the edition of {standard.number} with the publisher's catalogue and enter who did"
        yield Finding(standard.id, field, "", remedy)
    elif _months_later(standard.confirmed_on, MONTHS_VALID) < view.today:
        remedy = f"is older than {MONTHS_VALID} months; confirm the edition of {standard.number} again"
        yield Finding(standard.id, "confirmed_on", standard.confirmed_on, remedy)
    if standard.withdrawn:
        remedy = f"{standard.number} {standard.edition} is out of force; agree on the edition that replaces it"
        yield Finding(standard.id, "withdrawn", "true", remedy)
    if standard.replaced_by:
        remedy = f"{standard.number} {standard.edition} is replaced; cite the new one or agree on the old one"
        yield Finding(standard.id, "replaced_by", standard.replaced_by, remedy)


def _months_later(day: str, months: int) -> date:
    start = date.fromisoformat(day)
    year, month = divmod(start.year * 12 + start.month - 1 + months, 12)
    return date(year, month + 1, min(start.day, monthrange(year, month + 1)[1]))


def _two_editions(view: View) -> Iterator[Finding]:
    numbers = Counter(_plain(standard.number) for standard in view.project.standards)
    for number in (number for number, count in numbers.items() if count > 1):
        same = [standard for standard in view.project.standards if _plain(standard.number) == number]
        if len({standard.edition for standard in same}) > 1:
            first, other = same[0], next(s for s in same if s.edition != same[0].edition)
            remedy = f"differs from {other.id}.edition = {other.edition or '–'}, both {first.number}; keep one edition"
            yield Finding(first.id, "edition", first.edition, remedy)


def _unregistered(known: set[str], record: Citing) -> Iterator[Finding]:
    for field, text in _texts(record).items():
        for match in _MENTION.finditer(text):
            mention = _plain(match.group(0))
            if mention not in known and not any(number.startswith(f"{mention}-") for number in known):
                remedy = "is not in the register; add it to standards.toml and cite its id in standards"
                yield Finding(record.id, field, match.group(0), remedy)


def _texts(record: Citing) -> dict[str, str]:
    if isinstance(record, EvidenceItem):
        return {"procedure": record.procedure}
    conditions = {f"conditions.{name}": text for name, text in record.conditions.model_dump().items()}
    texts = {"statement": record.statement, "criterion": record.criterion, "limit.criterion": record.limit.criterion}
    return texts | conditions


def _plain(number: str) -> str:
    """The number without national prefix and with single spaces: "DIN EN ISO 9227" and "ISO 9227" are one."""
    words = number.split()
    while len(words) > 2 and words[0] in _NATIONAL:
        words = words[1:]
    return " ".join(words)
