"""Sheet 9: how would you know that something was altered?"""

from __future__ import annotations

from collections.abc import Mapping

from reportlab.platypus import Flowable

from dossier.checks.open_points import not_accepted, unanswered
from dossier.records.evidence import Document
from dossier.records.header import ROLE_NAMES
from dossier.release.chapters.records import when
from dossier.release.chapters.where import NO_OPEN_POINT, OPEN_POINTS, VERIFY, where_to_find
from dossier.release.facts import Facts
from dossier.release.flow import Stack, Wide, block
from dossier.release.heads import sheet
from dossier.release.kit import Kit
from dossier.release.manifest import manifest
from dossier.release.marks import state
from dossier.release.tables import Column, Row, table
from dossier.release.text import bold, grouped, mono
from dossier.release.trace import Anchor
from dossier.store.digest import sha256_of_bytes
from dossier.store.revisions import DOCUMENT, KEY, SIGNATURE, SUMS
from dossier.units import amount

MOST_CAUSES = 40


def signatures(kit: Kit, facts: Facts, title: str) -> list[Flowable]:
    """Checks, sign-offs, how to verify, manifest."""
    signed = [s for s in facts.view.signoffs if s.counts]
    answer = f"{amount(len(signed), 'valid sign-off')}; {amount(len(facts.sums), 'file')} under one list of digests: "
    answer += "a changed byte breaks it."
    commands = kit.paragraph(mono(_commands(facts), 6.6), "code")
    story = [
        *sheet(kit, "9", title, "How would you know that something was altered?", answer, answer),
        block(kit, "Where to find", [where_to_find(kit, facts)], "ten questions of an audit"),
        block(kit, "Open points", [Anchor(kit.trace, OPEN_POINTS), Wide(kit, _open_points(kit, facts))],
              "what keeps a step from closing, is not accepted or not answered"),
        block(kit, "Checks", [Wide(kit, _checks(kit, facts))], "by step, as they stand"),
        block(kit, "People", [_people(kit, facts)], "roles, and the keys their signatures are verified with"),
        block(kit, "Sign-offs", [Wide(kit, _signoffs(kit, facts))], "times are the signers' own clocks"),
        block(kit, "Not shown", [kit.paragraph(NOT_SHOWN)]),
        block(kit, "Verify", [Anchor(kit.trace, VERIFY), commands], "without this tool"),
    ]
    if facts.sums:
        digest = ["Digest of this list: ", mono(grouped(facts.manifest_digest, 8))]
        content = [kit.paragraph(digest, "small"), Anchor(kit.trace, "manifest")]
        names = _own_names(facts)
        files = [(path.removeprefix("../../"), value) for path, value in facts.sums.items()]
        files.sort(key=lambda file: _by_folder(file, names))
        story.append(
            block(kit, "Manifest", [*content, Wide(kit, manifest(kit, files, names=names))],
                  "SHA-256 of each file; raw files are named by it and stand here as they were imported")
        )
    return story


NOT_SHOWN = (
    "This document shows the agreed load collective only: no other vehicles, loads, routes, temperatures or abuse. "
    "It is plain PDF, not an archive form (no output intent, no tagged reading order). Persons are bound to keys only "
    "by fingerprints confirmed from outside. This document supports qualified persons; it does not replace the law, "
    "local rules, or the decision of a licensed or otherwise authorised engineer where one is required."
)


def _by_folder(file: tuple[str, str], names: Mapping[str, str]) -> tuple[str, str]:
    """Files of one folder one under the other by the names they are printed with, subfolders behind them."""
    folder, _, name = file[0].rpartition("/")
    return folder, names.get(file[1], name)


def _own_names(facts: Facts) -> dict[str, str]:
    """Names that raw files had when they were imported, by digest."""
    samples = [sample for item in facts.project.evidence for sample in item.samples]
    return {holder.file: holder.file_name for holder in (*samples, *facts.project.of_kind(Document)) if holder.file}


def _commands(facts: Facts) -> str:
    return (
        f"cd revisions/{facts.letter} && sha256sum -c {SUMS}\n"
        f"openssl pkeyutl -verify -pubin -inkey {KEY} -rawin -in {DOCUMENT} -sigfile {SIGNATURE}"
    )


def _open_points(kit: Kit, facts: Facts) -> Flowable:
    causes = [(step, cause) for step in facts.standing.steps for cause in step.causes]
    rows = [(step.number, cause.where, state(cause.state), cause.text, cause.whose) for step, cause in causes[:MOST_CAUSES]]
    rows += [
        ("", kit.ref(item.id), state("open", "not accepted"), f"{item.title}. {item.remark}".rstrip(" ."), "")
        for item in not_accepted(facts.project)
    ]
    rows += [
        (step, kit.ref(note.on_record) if facts.project.find(note.on_record) else note.on_record,
         state("open", "not answered"), note.text, note.by)
        for step, note in unanswered(facts.project)
    ]  # fmt: skip
    if not rows:
        return kit.paragraph(NO_OPEN_POINT)
    columns = [Column("step", 24), Column("where", 44), Column("state", 62), Column("what"), Column("whose", 62)]
    shown = table(kit, columns, rows, size=6.9, pad=1.2)
    if len(causes) <= MOST_CAUSES:
        return shown
    return Stack(kit, [shown, kit.paragraph(f"and {len(causes) - MOST_CAUSES} more, see the checks below", "caption")])


def _checks(kit: Kit, facts: Facts) -> Flowable:
    rows: list[Row] = []
    for step in facts.standing.steps:
        rows.append(Row((f"{step.number} {step.name}: {step.state}",), kind="group"))
        for check in step.checks:
            who, remark = "computed", ""
            if check.answer:
                who, remark = f"{check.answer.by} {check.answer.on[:10]}", check.answer.remark
            elif check.check.kind != "computed":
                who = f"{check.check.role}: no answer"
            if check.concession:
                remark = "; ".join(part for part in (remark, f"{check.concession.id} {check.concession.reason}") if part)
            elif check.state in ("not met", "outdated") and check.findings:
                remark = "; ".join(part for part in (remark, str(check.findings[0])) if part)
            rows.append(Row((check.check.id, check.check.text, state(check.state), who, remark)))
    columns = [Column("", 26), Column("check"), Column("state", 56), Column("who", 88), Column("remark", 150)]
    return table(kit, columns, rows, size=6.9, pad=1.3)


def _people(kit: Kit, facts: Facts) -> Flowable:
    rows = [
        (person.name, ", ".join(ROLE_NAMES[role] for role in person.roles), person.organisation or "–",
         mono(grouped(sha256_of_bytes(bytes.fromhex(person.public_key))[:16])) if person.public_key else "–")
        for person in facts.project.header.people
    ]  # fmt: skip
    columns = [Column("", 80), Column("roles", 110), Column("organisation"), Column("key begins", 84)]
    return table(kit, columns, rows, size=6.9, pad=1.2, empty="Nobody is registered yet.")


def _signoffs(kit: Kit, facts: Facts) -> Flowable:
    rows = []
    for s in facts.view.signoffs:
        own = f", wrote {len(s.signoff.own_records)}" if s.signoff.own_records else ""
        faults = f"; {'; '.join(s.faults)}" if s.faults else ""
        covers = f"{amount(len(s.signoff.records), 'record')}{own}{faults}"
        person = f"{s.signoff.person}, {s.signoff.role}"
        key = mono(grouped(s.signoff.key_fingerprint[:16]))
        moment, decision = when(s.signoff.signed_at), s.signoff.decision
        cells = (bold(s.signoff.id), s.signoff.step, person, decision, moment, covers, key, state(s.state))
        rows.append(Row(cells, anchor=s.signoff.id))
    columns = [Column("", 30), Column("step", 22), Column("person", 78), Column("decision", 46), Column("UTC", 76),
               Column("covers"), Column("key", 80), Column("state", 98)]  # fmt: skip
    return table(kit, columns, rows, size=6.9, pad=1.5)
