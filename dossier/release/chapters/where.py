"""The ten questions of an audit: what this document answers to each, and on which page it stands."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from reportlab.platypus import Flowable

from dossier.checks.cited_standards import edition_confirmed
from dossier.checks.open_points import not_accepted, not_accepted_words, unanswered_words
from dossier.checks.policy import reviewing_role
from dossier.checks.signing import SUPERSEDED
from dossier.checks.told import calculation_sentence
from dossier.checks.told_evidence import decisions, evidence_in_short
from dossier.records.evidence import Equipment, EvidenceItem
from dossier.release.chapters.records import citing_records
from dossier.release.facts import Facts
from dossier.release.kit import Kit
from dossier.release.tables import Column, table
from dossier.release.trace import sheet_id
from dossier.units import amount

OPEN_POINTS, VERIFY = "open points", "verify"
NO_OPEN_POINT = "None: every step is closed, every assumption accepted, every remark answered."


@dataclass(frozen=True)
class Found:
    """Where a question is answered: id of the place, what is said there in words, and pieces of text a reader
    finds on that page."""

    question: str
    answer: str
    place: str
    proof: tuple[str, ...] = ()


def where_to_find(kit: Kit, facts: Facts) -> Flowable:
    """The table of the ten questions, each with its place as a link."""
    rows = [
        (str(number), found.question, found.answer, kit.trace.ref(found.place))
        for number, found in enumerate(answers(facts), 1)
    ]
    columns = [Column("", 16), Column("question", 120), Column("answer"), Column("where", 62)]
    return table(kit, columns, rows, size=6.9, pad=1.4)


def answers(facts: Facts) -> list[Found]:
    """The ten answers, computed from the records; each names a place of this document."""
    return [answer(facts) for answer in _ANSWERS]


def _requirement(facts: Facts) -> Found:
    question = "One requirement to its test, raw data, calibration and person"
    for item in facts.project.evidence:
        machines = [m for name in item.equipment if isinstance(m := facts.project.find(name), Equipment)]
        files = [sample for sample in item.samples if sample.file]
        served = decisions(facts.view, item)
        if machines and files and served and item.operator:
            requirement, machine, sample = served[0].requirement, machines[0], files[0]
            valid = ", ".join(sorted({channel.valid_until for channel in machine.channel}))
            told = (
                f"{requirement.id} {requirement.title}: {item.id}, file {sample.file_name or sample.specimen} and others, "
                f"{machine.id} calibrated until {valid}, {item.operator}"
            )
            return Found(question, told, item.id, (requirement.id, machine.id, item.operator, sample.file_name))
    return Found(question, "No item has raw files and a machine yet; requirements stand on sheet 2.", sheet_id("2"))


def _number(facts: Facts) -> Found:
    question = "One printed number to its record, inputs and method"
    for record in facts.project.calculations:
        if record.result:
            told = f"{calculation_sentence(facts.view, record)} Method {record.method} {record.result.method_version}."
            return Found(question, told, record.id, (record.title, calculation_sentence(facts.view, record)))
    return Found(question, "No calculation has a result yet.", sheet_id("3"))


def _failed(facts: Facts) -> Found:
    question = "A failed or aborted test, and what was decided"
    for item in facts.project.evidence:
        for decided in decisions(facts.view, item):
            if decided.state == "not met":
                given = facts.view.concessions.get(decided.requirement.id)
                followed = f"{given.id} by {given.by} until {given.until}" if given else "no concession is given"
                measured = evidence_in_short(facts.view, item).rstrip(".")
                told = f"{item.id} {item.title}, {decided.requirement.id} not met: {measured}; {followed}"
                return Found(question, told, item.id, (item.title,))
    for item in facts.project.evidence:
        if item.state in ("aborted", "invalid"):
            again = [other.id for other in facts.project.evidence if other.repeats == item.id]
            followed = f"; repeated by {', '.join(again)}" if again else ""
            told = f"{item.id} {item.title}, {item.state}: {item.reason.rstrip('.')}{followed}"
            return Found(question, told, item.id, (item.reason,))
    return Found(question, "No test failed or was aborted; sheet 4 lists all of them.", sheet_id("4"))


def _reviewed(facts: Facts) -> Found:
    question = "Who reviewed, when, and were they independent?"
    signed = [s.signoff for s in facts.view.signoffs if s.signoff.role == reviewing_role() and s.signoff.decision == "released"]
    if not signed:
        return Found(question, "No review is signed yet.", sheet_id("9"))
    last = signed[-1]
    own = f"wrote {len(last.own_records)} of the records" if last.own_records else "wrote none of the records"
    told = f"{last.person} reviewed step {last.step} on {last.signed_at[:10]} as {last.id}, {own}"
    return Found(question, told, last.id, (last.id, last.person))


def _edition(facts: Facts) -> Found:
    question = "Which edition of a standard, and who confirmed it?"
    citing = citing_records(facts)
    cited = [s for s in facts.project.standards if citing[s.id]]
    confirmed = [s for s in cited if edition_confirmed(s)]
    if not confirmed:
        return Found(question, f"{amount(len(cited), 'standard')} cited, no edition is confirmed.", sheet_id("7"))
    first = confirmed[0]
    named = f"{first.id} {first.number}:{first.edition}, {first.confirmed_by} {first.confirmed_on or ''}".rstrip()
    told = f"{named}; {len(confirmed)} of {len(cited)} are confirmed"
    return Found(question, told, first.id, (first.id, first.number, first.confirmed_by.split()[-1]))


def _changed(facts: Facts) -> Found:
    question = "What changed after the review?"
    superseded = [s for s in facts.view.signoffs if s.state == SUPERSEDED]
    if not superseded:
        return Found(question, "Nothing: no sign-off is superseded by a change.", sheet_id("9"))
    last = superseded[-1]
    changed = ", ".join(last.changed[:6]) + (" and others" if len(last.changed) > 6 else "")
    told = f"{len(superseded)} sign-offs are superseded; {last.signoff.id} by a change of {changed}"
    return Found(question, told, last.signoff.id, (last.signoff.id, "superseded"))


def _accepted(facts: Facts) -> Found:
    question = "Which deviations were accepted, by whom, until when?"
    given = list(facts.view.concessions.values())
    if not given:
        return Found(question, "None is conceded.", sheet_id("8"))
    told = "; ".join(f"{c.id} on {c.on_record} by {c.by} until {c.until}" for c in given[:6])
    more = f"; {len(given) - 6} more" if len(given) > 6 else ""
    return Found(question, told + more, given[0].id, (given[0].id, given[0].until))


def _margins(facts: Facts) -> Found:
    question = "Were margins of equivalence fixed before the test?"
    items = [item for item in facts.project.evidence if item.margin]
    if not items:
        return Found(question, "No item claims equivalence.", sheet_id("4"))
    late = [item for item in items if not _before(item)]
    first = (late or items)[0]
    told = f"{first.id}: agreed {first.margin.agreed.on}, first measured {first.started_on or 'not yet'}"
    lead = f"{len(items) - len(late)} of {len(items)} were"
    return Found(question, f"{lead}; {told}", first.id, (str(first.margin.agreed.on),))


def _before(item: EvidenceItem) -> bool:
    return item.started_on is None or bool(item.margin and item.margin.agreed.on and item.margin.agreed.on < item.started_on)


def _open(facts: Facts) -> Found:
    causes = [cause for step in facts.standing.steps for cause in step.causes]
    lead = f"{len(causes)} point{'s keep' if len(causes) > 1 else ' keeps'} steps from closing" if causes else ""
    assumed = not_accepted(facts.project)
    parts = [part for part in (lead, not_accepted_words(facts.project), unanswered_words(facts.project)) if part]
    told = "; ".join(parts) or NO_OPEN_POINT
    proof = (causes[0].where,) if causes else (assumed[0].id,) if assumed else () if parts else (NO_OPEN_POINT,)
    return Found("Which points are open?", told, OPEN_POINTS, proof)


def _altered(facts: Facts) -> Found:
    told = f"{amount(len(facts.sums), 'file')} under one list of digests, two commands check it without this tool"
    return Found("How would you know that a file was altered?", told, VERIFY, ("sha256sum -c",))


_ANSWERS: tuple[Callable[[Facts], Found], ...] = (
    _requirement, _number, _failed, _reviewed, _edition, _changed, _accepted, _margins, _open, _altered,
)  # fmt: skip
