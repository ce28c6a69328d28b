"""The lines of sheet 9: the row of items, one item, and the page that closes the review."""

from __future__ import annotations

from collections.abc import Sequence

from dossier.checks.standing import DONE
from dossier.checks.told import calculation_sentence, margin_words, requirement_row
from dossier.records.calculation import Calculation
from dossier.records.requirement import Requirement
from dossier.units import amount
from screens import bars
from screens.cells import cut, pad, wrap
from screens.glyphs import STATES
from screens.ladder import title_of
from screens.paint import Line, LineLike, Piece, line, state
from screens.review import Item, Review, changed_fields, statement_of
from screens.session import Session

KIND = {"person": "person answers", "confirmed": "computed, person confirms", "computed": "computed"}
MOST_NUMBERS = 12
LEAD = 13
DID = {"released": "released", "sent back": "sent back", "withdrawn": "withdrew"}


def chip_lines(review: Review, at: int, columns: int) -> list[LineLike]:
    """The items in a row, `4 ✗`, the one shown with `>`; as many rows as they need."""
    rows: list[Line] = [[]]
    used = 0
    for index, item in enumerate(review.items):
        glyph = STATES[item.answered or "open"]
        lead = ">" if index == at else " "
        text = f"{lead}{item.id.partition('.')[2]:>2} "
        if used + len(text) + 2 > columns - 1:
            rows.append([])
            used = 0
        rows[-1] += [Piece(text, "key" if index == at else "ink"), Piece(glyph.glyph, glyph.role), Piece(" ")]
        used += len(text) + 2
    end = Piece(" >to sign" if at >= len(review.items) else "  to sign", "key" if at >= len(review.items) else "quiet")
    if used + len(end.text) > columns - 1:
        rows.append([])
    return [*rows[:-1], [*rows[-1], end], line(" ", Piece("─" * max(columns - 2, 0), "rule"))]


def item_lines(session: Session, review: Review, item: Item, columns: int) -> list[LineLike]:
    """One item in full: question, claim, what was computed, numbers with margins, what changed, own remark."""
    check = item.state.check
    lines: list[LineLike] = []
    texts = wrap(check.text, columns - 8)
    kind = KIND[check.kind] + ("" if check.kind == "computed" else f", {check.role}")
    lines += [line(Piece(f" {check.id if i == 0 else '':<5} ", "key"), Piece(text, "heading")) for i, text in enumerate(texts)]
    lines += [line(Piece(f" {'':<5} {kind}; as it stands: ", "quiet"), state(item.state.state)), ""]
    lines += _claim(item, columns)
    lines += _told("sent back", item.returned, columns, "notmet")
    part = item.state.computed
    if part is not None:
        word = state(part.state) if part.state in STATES else Piece(part.state)
        lines.append(line(Piece(f"   {'computed':<{LEAD}}", "quiet"), word))
        lines += _told("", part.facts, columns)
        lines += _told("finding", [str(finding) for finding in part.findings], columns, "notmet")
    if item.state.concession is not None:
        given = item.state.concession
        told = f"{given.id} by {given.by} until {given.until}: {given.reason}; limit {given.limit}"
        lines += _told("conceded", [told], columns, "conceded")
    lines += _numbers(session, item, columns)
    lines += _changes(session, review, item, columns)
    if item.own:
        lines += _told("yours", [f"you are an author of {', '.join(item.own)}"], columns, "outdated")
    lines.append("")
    lines += _told("your remark", [item.remark or "none"], columns)
    given = {"met": "accepted", "not met": "withheld", "outdated": "given before the change; answer again"}
    lines += _told("your answer", [given.get(item.answered, "none yet")], columns)
    return lines


def _told(word: str, texts: Sequence[str], columns: int, role: str = "ink") -> list[LineLike]:
    lines: list[LineLike] = []
    for text in texts:
        for row in wrap(text, max(columns - LEAD - 5, 20)):
            lines.append(line(Piece(f"   {pad(word, LEAD)}", "quiet"), Piece(row, role)))
            word = ""
    return lines


def _claim(item: Item, columns: int) -> list[LineLike]:
    answer = item.state.answer
    if answer is None:
        if item.state.check.kind == "computed":
            return []
        return _told("claim", [f"none yet; {item.state.check.role} has not answered"], columns)
    told = f"{answer.answer} by {answer.by}, {answer.on[:10]}" + (f": {answer.remark}" if answer.remark else "")
    return _told("claim", [told], columns)


def _numbers(session: Session, item: Item, columns: int) -> list[LineLike]:
    """Requirements the item speaks of, and what is calculated, each with value, limit, margin and state."""
    project, view = session.opened.project, session.opened.view
    named = [project.find(name) for name in item.records]
    served = [s.requirement for record in named if isinstance(record, Calculation) for s in record.serves]
    demands = dict.fromkeys([*(r.id for r in named if isinstance(r, Requirement)), *served])
    lines: list[LineLike] = []
    wide = max(columns - 62, 12)
    for name in [name for name in demands if name in view.verdicts][:MOST_NUMBERS]:
        row = requirement_row(view.verdicts[name])
        bar = bars.margin_bar(row.margin.value, row.state == "undecided")
        value = f"{pad(cut(row.value, 8), 8, 'right')}  {pad(cut(row.limit, 14), 14)}"
        margin = f"{bar} {margin_words(row.margin, project.records[name].unit):>6} "  # type: ignore[attr-defined]
        title = pad(cut(row.title, wide), wide)
        lines.append(line(Piece(f"   {name:<7} ", "key"), title, value, Piece(margin, "quiet"), state(row.state)))
    if len(demands) > MOST_NUMBERS:
        lines.append(line(Piece(f"   and {len(demands) - MOST_NUMBERS} more requirements", "quiet")))
    for record in [r for r in named if isinstance(r, Calculation)][:MOST_NUMBERS]:
        word = {"current": "met", "outdated": "outdated"}.get(view.freshness[record.id].state, "open")
        told = cut(calculation_sentence(view, record), columns - LEAD - 4)
        lines.append(line(Piece(f"   {record.id:<{LEAD}}", "key"), Piece(told, state(word).role)))
    others = [r for r in named if r is not None and not isinstance(r, Requirement | Calculation)]
    lines += [line(Piece(f"   {r.id:<{LEAD}}", "key"), cut(title_of(session, r.id), columns - LEAD - 4)) for r in others[:6]]
    return ["", line(Piece("   numbers and records behind it", "quiet")), *lines] if lines else []


def _changes(session: Session, review: Review, item: Item, columns: int) -> list[LineLike]:
    """What changed since the person's last signature of this step."""
    if review.last is None:
        return []
    when = review.last.signed_at[:10]
    names = [name for name in (item.records or tuple(review.changed)) if name in review.changed]
    if not names:
        return ["", *_told("changed", [f"nothing it speaks of since you {DID[review.last.decision]} it on {when}"], columns)]
    lines: list[LineLike] = ["", line(Piece(f"   changed since your signature of {when} ∆", "outdated"))]
    fields = changed_fields(session, review, names)
    for told in fields[:8]:
        was = f"was {told.was}   now " if told.was else ""
        lines.append(line(Piece(f"   {told.record:<{LEAD}}", "key"), cut(f"{told.field} {was}{told.now}", columns - LEAD - 4)))
    if len(fields) > 8:
        lines.append(line(Piece(f"   and {len(fields) - 8} more fields", "quiet")))
    return lines if fields else [*lines, *_told("", [", ".join(names)], columns)]


def closing_lines(session: Session, review: Review, columns: int) -> list[LineLike]:
    """The statement to sign, what it covers, and what stands against it."""
    lines: list[LineLike] = []
    left, withheld = review.left, review.withheld
    lines += _told("left", [", ".join(item.id for item in left) or "none"], columns, "open" if left else "met")
    for item in withheld:
        lines += _told("withheld", [f"{item.id}: {item.remark}"], columns, "notmet")
    stands = [i for i in review.items if i.state.state not in DONE]
    if stands:
        told = ", ".join(f"{i.id} {i.state.state}" for i in stands)
        lines += _told("in the way", [told], columns, "notmet")
    lines += ["", line(Piece(" what you would sign", "heading")), *_told("statement", [statement_of(review)], columns)]
    lines += _told("covers", [f"{amount(len(review.covered), 'record')} of step {review.step}"], columns)
    lines += _told("role", [review.role or "none of yours signs this step"], columns)
    lines += _told("authors", [", ".join(review.authors) or "none known"], columns)
    own = f"you wrote {', '.join(review.own[:8])}" if review.own else f"{session.person} wrote none of these"
    lines += _told("you", [own], columns, "notmet" if review.own_forbidden else "ink")
    if review.own_forbidden:
        told = f"own_work.{review.role} = false in the policy: four eyes forbid you to release it"
        lines += _told("", [told], columns, "notmet")
    lines += ["", *_signatures(session, review, columns)]
    return lines


def _signatures(session: Session, review: Review, columns: int) -> list[LineLike]:
    states = [s for s in session.opened.view.signoffs if s.signoff.step == review.step]
    lines: list[LineLike] = [line(Piece(f" sign-offs of step {review.step}", "heading"))] if states else []
    for found in reversed(states[-8:]):
        signoff = found.signoff
        word = found.state if signoff.decision == "released" else signoff.decision
        role = "met" if found.counts else "outdated"
        told = f"{signoff.person} {signoff.role}, {signoff.signed_at[:10]}: {word}"
        lines.append(line(Piece(f"   {signoff.id:<{LEAD}}", "key"), Piece(told, role)))
        if signoff.decision == "sent back":
            lines += _told("", [signoff.statement], columns)
    return lines


def margin_lines(review: Review) -> list[LineLike]:
    """In the left margin: what would be signed, the authors, whether the person is among them."""
    mine = "among these ✗" if review.own_forbidden else "among these" if review.own else "none of these ✓"
    names = [name for person in review.authors for name in wrap(person, 26)]
    return [
        line(Piece(" what you would sign", "heading")), "",
        f" step {review.step}, role {review.role or '-'}", f" {amount(len(review.covered), 'record')}", "",
        line(Piece(" authors", "quiet")), *(f"   {name}" for name in names[:10]), "",
        line(Piece(" you    ", "quiet"), mine), "", line(Piece(" Esc pauses, nothing is lost", "quiet")),
    ]  # fmt: skip
