"""Signs of trouble below a curve: told part by part, and answered with what was looked at."""

from __future__ import annotations

from collections.abc import Collection
from datetime import date

from dossier.actions.answer_sign import answer_sign
from dossier.methods.evidence_links import CURVES
from dossier.methods.evidence_signs import KeptSign, kept_signs, limits_in_short
from dossier.records.evidence import EvidenceItem, SchemeRecord
from dossier.units import amount
from screens.cells import wrap_most
from screens.paint import LineLike, Piece, line
from screens.session import Session
from screens.sheets.sheet import Sheet
from screens.widgets.entry import Entry

MOST_LINES = 6
WAY = "a says what was looked at and why the result stands"


class AnswersSigns(Sheet):
    """A sheet on one item, whose signs of trouble are answered with `a`."""

    item: EvidenceItem

    def action_accept(self) -> None:
        """Answer a sign of trouble of the item; with several, choose which first."""
        signs = kept_signs(self.item)
        if not signs:
            self.say(self.why_not("accept"), self.item.id)
        elif len(signs) == 1:
            self._ask_answer(signs[0])
        else:
            ordered = sorted(signs, key=lambda sign: sign.answer is not None)
            options: list[tuple[str, LineLike]] = [(sign.letter, _option(sign)) for sign in ordered]
            by_letter = {sign.letter: sign for sign in signs}
            self.choose("which sign", options, lambda letter: self._ask_answer(by_letter[letter]))

    def why_not(self, key_id: str) -> str:
        """Only a sign that was found is answered."""
        if key_id == "accept" and not kept_signs(self.item):
            return f"{self.item.id} shows no sign of trouble; there is nothing to answer."
        return super().why_not(key_id)

    def _ask_answer(self, sign: KeptSign) -> None:
        item, person = self.item, self.session.person

        def recorded(reason: str) -> bool:
            day, project = date.today().isoformat(), self.session.opened.project
            return self.record(lambda: answer_sign(project, item.id, sign.specimen, sign.kind, reason, person, day))

        entry = Entry(
            "remark",
            f"sign {item.id} {sign.specimen} {sign.kind} {sign.row}",
            f"{sign.letter} {sign.title}, {sign.specimen}",
            sign.answer.reason if sign.answer else "",
            check=lambda text: "" if text.strip() else "reason is empty; say what was looked at, or leave the specimen out",
        )
        self.ask(entry, recorded)


def _option(sign: KeptSign) -> LineLike:
    return line(f"{sign.letter} {sign.title} in {sign.specimen}, row {sign.row}   ", Piece(sign.standing, "quiet"))


def sign_lines(session: Session, item: EvidenceItem, shown: Collection[str], columns: int) -> list[LineLike]:
    """What was looked for, and what each sign of the parts `shown` means; signs of other parts are counted.

    At most six lines of `columns`: where signs were found, their meaning takes the place of the limits of the search.
    """
    if item.quantity not in CURVES:
        return []
    if item.result is None or not any(item.result.value(f"signs_{group}") for group in ("variant", "reference")):
        return ["signs of trouble were not looked for; evaluate the item"]
    found = kept_signs(item)
    if not found:
        scheme = session.opened.project.find(item.scheme)
        limits = limits_in_short(scheme.signs if isinstance(scheme, SchemeRecord) else None)
        return list(wrap_most(f"signs looked for: {limits}: none", columns, 2))
    here = [sign for sign in found if sign.specimen in shown]
    told = [amount(len(found), "sign") + " of trouble"]
    if len(here) < len(found):
        told.append(f"in parts not drawn here: {', '.join(dict.fromkeys(s.specimen for s in found if s not in here))}")
    if any(sign.answer is None for sign in found):
        told.append(WAY)
    lines: list[LineLike] = list(wrap_most("; ".join(told), columns, 2))
    for number, sign in enumerate(here):
        standing = sign.standing[0].upper() + sign.standing[1:]
        words = f"{sign.letter} {sign.specimen}, row {sign.row}: {sign.explanation}. {standing}."
        room = (MOST_LINES - len(lines)) // (len(here) - number)
        role = "ink" if sign.answer else "notmet"
        lines += [line(Piece(text, role)) for text in wrap_most(words, columns, max(room, 1))]
    return lines[:MOST_LINES]
