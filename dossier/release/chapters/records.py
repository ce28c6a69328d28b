"""Sheets 7 to 9: standards, concessions and changes, signatures and manifest."""

from __future__ import annotations

from reportlab.platypus import Flowable

from dossier.records.step import StepRecord
from dossier.release.facts import Facts
from dossier.release.flow import Wide, block
from dossier.release.heads import sheet
from dossier.release.kit import Kit
from dossier.release.manifest import manifest
from dossier.release.marks import state
from dossier.release.tables import Column, Row, table
from dossier.release.text import bold, grouped, mono
from dossier.release.trace import Anchor
from dossier.store.revisions import DOCUMENT, KEY, SIGNATURE, SUMS

MOST_CHANGES = 60


def standards(kit: Kit, facts: Facts, title: str) -> list[Flowable]:
    """Editions, and who confirmed them."""
    cited = [s for s in facts.project.standards if facts.project.serves(s.id)]
    unconfirmed = [s.number for s in cited if not s.confirmed_by or not s.edition]
    answer = f"{len(cited)} standards are cited"
    answer += (
        f"; not confirmed: {', '.join(unconfirmed)}."
        if unconfirmed
        else "; every edition is confirmed by name."
    )
    rows = [
        Row(
            (bold(s.number), s.edition or "–", s.title or s.used_for, s.kind,
             kit.refs(facts.project.serves(s.id)[:6], page=False),
             f"{s.confirmed_by} {s.confirmed_on or ''}".strip() or "not confirmed",
             "withdrawn" if s.withdrawn else s.mark),
            anchor=s.id, anchor_title=f"{s.id} {s.number}",
        )
        for s in cited
    ]  # fmt: skip
    columns = [Column("number", 66), Column("edition", 44), Column("title"), Column("why", 46), Column("cited by", 96),
               Column("confirmed by", 84), Column("mark", 54)]  # fmt: skip
    words = "Following, not claiming conformity: every standard is used as a guide unless a record says otherwise."
    return [
        *sheet(kit, "7", title, "Which editions, and who confirmed them?", answer, answer),
        Wide(kit, table(kit, columns, rows)),
        kit.paragraph(words, "caption"),
    ]


def changes(kit: Kit, facts: Facts, title: str) -> list[Flowable]:
    """Concessions and the history."""
    concessions = [c for step in facts.project.of_kind(StepRecord) for c in step.concession]
    answer = (
        f"{len(concessions)} concession{'s' if len(concessions) != 1 else ''}; "
        f"{len(facts.history)} change{'s' if len(facts.history) != 1 else ''} in the history."
    )
    rows = [
        Row((bold(c.id), kit.ref(c.on_record), c.kind, c.reason, c.limit, c.until, f"{c.by}, {c.on[:10]}"), anchor=c.id,
            anchor_title=f"{c.id} {c.on_record}")
        for c in concessions
    ]  # fmt: skip
    columns = [Column("", 30), Column("on", 40), Column("kind", 70), Column("reason"), Column("limit", 90),
               Column("until", 46), Column("by", 70)]  # fmt: skip
    shown = facts.history[:MOST_CHANGES]
    history = [(_when(line.time), line.person, line.message.splitlines()[0]) for line in shown]
    tail = (
        f"the newest {MOST_CHANGES} of {len(facts.history)}"
        if len(facts.history) > MOST_CHANGES
        else "newest first"
    )
    none = kit.paragraph("No deviation is conceded.")
    return [
        *sheet(kit, "8", title, "What deviates, and what changed?", answer, answer, room_needed=180),
        Wide(kit, table(kit, columns, rows)) if rows else none,
        block(kit, "History", [table(kit, [Column("UTC", 82), Column("who", 70), Column("change")], history, pad=1.4)],
              tail),
    ]  # fmt: skip


def signatures(kit: Kit, facts: Facts, title: str) -> list[Flowable]:
    """Checks, sign-offs, how to verify, manifest."""
    signed = [s for s in facts.view.signoffs if s.counts]
    answer = f"{len(signed)} valid sign-offs; {len(facts.sums)} files under one list of digests: a changed byte breaks it."
    story = [
        *sheet(kit, "9", title, "How would you know that something was altered?", answer, answer),
        block(kit, "Checks", [_checks(kit, facts)], "by step, as they stand"),
        block(kit, "Sign-offs", [_signoffs(kit, facts)], "times are the signers' own clocks"),
        block(kit, "Not shown", [kit.paragraph(NOT_SHOWN)]),
        block(kit, "Verify", [kit.paragraph(mono(_commands(facts), 6.6), "code")], "without this tool"),
    ]
    if facts.sums:
        digest = ["Digest of this list: ", mono(grouped(facts.manifest_digest, 8))]
        content = [kit.paragraph(digest, "small"), Anchor(kit.trace, "manifest")]
        files = [(path.removeprefix("../../"), value) for path, value in facts.sums.items()]
        story.append(
            block(kit, "Manifest", [*content, Wide(kit, manifest(kit, files))], "SHA-256 of each file")
        )
    return story


NOT_SHOWN = (
    "This document shows the agreed load collective only: no other vehicles, loads, routes, temperatures or abuse. "
    "It is plain PDF, not an archive form (no output intent, no tagged reading order). Persons are bound to keys only "
    "by fingerprints confirmed from outside. This document supports qualified persons; it does not replace the law, "
    "local rules, or the decision of a licensed or otherwise authorised engineer where one is required."
)


def _when(moment: str) -> str:
    return moment.replace("T", " ").removesuffix("Z")


def _commands(facts: Facts) -> str:
    return (
        f"cd revisions/{facts.letter} && sha256sum -c {SUMS}\n"
        f"openssl pkeyutl -verify -pubin -inkey {KEY} -rawin -in {DOCUMENT} -sigfile {SIGNATURE}"
    )


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
                remark = f"{check.concession.id} {check.concession.reason}"
            elif check.state in ("not met", "outdated") and check.findings:
                remark = str(check.findings[0])
            rows.append(Row((check.check.id, check.check.text, state(check.state), who, remark)))
    columns = [Column("", 26), Column("check"), Column("state", 56), Column("who", 70), Column("remark", 110)]
    return table(kit, columns, rows, size=6.9, pad=1.3)


def _signoffs(kit: Kit, facts: Facts) -> Flowable:
    rows = []
    for s in facts.view.signoffs:
        own = f"; wrote {len(s.signoff.own_records)} of them" if s.signoff.own_records else ""
        faults = f"; {'; '.join(s.faults)}" if s.faults else ""
        covers = f"{len(s.signoff.records)} records{own}{faults}"
        person = f"{s.signoff.person}, {s.signoff.role}"
        key = mono(grouped(s.signoff.key_fingerprint[:16]))
        when, decision = _when(s.signoff.signed_at), s.signoff.decision
        cells = (bold(s.signoff.id), s.signoff.step, person, decision, when, covers, key, state(s.state))
        rows.append(Row(cells, anchor=s.signoff.id))
    columns = [Column("", 30), Column("step", 22), Column("person", 78), Column("decision", 46), Column("UTC", 62),
               Column("covers"), Column("key", 60), Column("state", 60)]  # fmt: skip
    return table(kit, columns, rows, size=6.9, pad=1.5)
