"""9 Review: can I put my name to this, item by item?"""

from __future__ import annotations

from collections.abc import Sequence
from typing import ClassVar

from textual.binding import BindingType
from textual.widget import Widget

from dossier.actions.refusal import Refusal
from dossier.actions.sign import prepare_signoff, refuse_repeated, sign_step
from dossier.checks.base import check_texts
from dossier.records.step import STEPS
from dossier.store.errors import StoreError
from dossier.units import amount
from screens import keys
from screens.landing import asked_reviews, signing_role
from screens.review import Item, Review, give_answer, keep_tick, refusal_of, review_of, statement_of, theirs
from screens.session import Session
from screens.sheets.conceding import Concedes
from screens.sheets.joining import Joins
from screens.sheets.passphrase import passphrase_of
from screens.sheets.review_lines import chip_lines, closing_lines, item_lines, margin_lines
from screens.widgets.entry import Entry
from screens.widgets.house import Lines, Page
from screens.widgets.modal import Question
from screens.widgets.question import Asked

NEEDS_REMARK = "a remark is needed that says what keeps you from accepting it"


class ReviewSheet(Joins, Concedes):
    """One item fills the sheet; the answer is one key; after the last one the statement is signed."""

    NUMBER = "9"
    STATION = 6
    TITLE_WORD = "Review"
    QUESTION = "Can I put my name to this, item by item?"
    KEYS = ("accept", "withhold", "next-open", "remark", ("group", "other step"))
    BINDINGS: ClassVar[list[BindingType]] = [
        *keys.bind_all("accept", "withhold", "detail", "next-open", "previous-open", "group", "enter", "left", "right"),
        *keys.bind_all("concede", "new"),
    ]

    def __init__(self, session: Session) -> None:
        super().__init__(session)
        self.step = ""
        self.at = 0
        self.review: Review | None = None

    def body(self) -> Sequence[Widget]:
        self.chips = Lines(self._chip_lines, id="chips")
        self.page = Page(id="item")
        return (self.chips, self.page)

    def margin(self) -> Sequence[Widget]:
        self.side = Lines(id="side")
        return (self.side,)

    def answer(self) -> str:
        if self.review is None:
            return ""
        if not asked_reviews(self.session) and not self.review.role:
            return f"Nothing is asked of you. {self.review.answer}"
        return self.review.answer

    def fill(self) -> None:
        first = not self.step
        if first:
            self.step = self._step_to_review()
        self.review = review_of(self.session, self.step)
        self.frame.set_head(f"9 Review of step {self.step} {STEPS[self.step]}", self.QUESTION)
        if first:
            self.at = self._first_left()
        self.side.show(margin_lines(self.review))
        self._show()
        self.page.focus()

    def _step_to_review(self) -> str:
        """The step asked of the person; else the first not closed one they sign, else the first not closed."""
        asked = asked_reviews(self.session)
        if asked:
            return next((entry.step for entry in asked if entry.role != "PE"), asked[0].step)
        unclosed = [step.number for step in self.session.standing.steps if step.state != "closed"]
        theirs = [number for number in unclosed if signing_role(self.session, number)]
        return next(iter([*theirs, *unclosed]), "6")

    def _first_left(self) -> int:
        review = self.review
        if review is None or not review.role or not review.left:
            return 0
        return review.items.index(review.left[0])

    @property
    def item(self) -> Item | None:
        """The item shown; None on the closing page."""
        items = self.review.items if self.review else []
        return items[self.at] if self.at < len(items) else None

    def _chip_lines(self, columns: int):
        return chip_lines(self.review, self.at, columns) if self.review else [""]

    def _show(self) -> None:
        review, item = self.review, self.item
        if review is None:
            return
        self.chips.show(self._chip_lines)
        if item is None:
            self.page.show(lambda columns: closing_lines(self.session, review, columns))
        else:
            self.page.show(lambda columns: item_lines(self.session, review, item, columns))

    def _go(self, place: int) -> None:
        self.at = min(max(place, 0), len(self.review.items) if self.review else 0)
        self._show()
        self.show_keys()

    def record_at_cursor(self) -> str:
        return self.item.records[0] if self.item and self.item.records else ""

    def go_to(self, record_id: str) -> None:
        """Show an item by its number, or the closing page of the step a sign-off's id belongs to."""
        if self.review is None:
            return
        step = record_id.partition(".")[0]
        if record_id in check_texts() and step != self.step:
            self.step = step
            self.refill()
        for index, item in enumerate(self.review.items):
            if record_id == item.id:
                self._go(index)
                return
        stored = next((s.signoff for s in self.session.opened.view.signoffs if s.signoff.id == record_id), None)
        if stored is not None:
            self.step = stored.step
            self.refill()
            self._go(len(self.review.items))

    def place_record(self) -> str:
        return self.item.id if self.item else ""

    # Moving ---------------------------------------------------------------------------------------------------

    def action_right(self) -> None:
        """The next item; after the last one the statement to sign, after that the next step."""
        if self.item is None:
            self._neighbour(1)
        else:
            self._go(self.at + 1)

    def action_left(self) -> None:
        """The item before; before the first one the step before."""
        if self.at == 0:
            self._neighbour(-1)
        else:
            self._go(self.at - 1)

    def _neighbour(self, way: int) -> None:
        """The review of the next step at its first item, or of the one before at its statement."""
        steps = list(STEPS)
        place = steps.index(self.step) + way
        if not 0 <= place < len(steps):
            self.say(f"Step {self.step} is the {'last' if way > 0 else 'first'} one; g chooses another.")
            return
        self.step = steps[place]
        self.refill()
        self._go(0 if way > 0 else len(self.review.items) if self.review else 0)

    def action_next_open(self) -> None:
        """The next item left, else the statement to sign."""
        self._next_left(1)

    def action_previous_open(self) -> None:
        """The item left before this one."""
        self._next_left(-1)

    def _next_left(self, way: int) -> None:
        review = self.review
        if review is None:
            return
        count = len(review.items)
        order = [(self.at + way * step) % (count + 1) for step in range(1, count + 2)]
        left = [place for place in order if place < count and review.items[place] in review.left]
        self._go(left[0] if left else count)
        if not left:
            self.say("No item is left; Enter goes on to the passphrase.")

    def action_group(self) -> None:
        """Choose the step to review."""
        asked = {entry.step for entry in asked_reviews(self.session)}
        options = [
            (step.number, f"{step.number} {step.name}, {step.state}{', asked of you' if step.number in asked else ''}")
            for step in self.session.standing.steps
        ]
        self.choose("review of step", options, self._take_step)

    def _take_step(self, step: str) -> None:
        self.step = step
        self.review = review_of(self.session, step)
        self.at = self._first_left()
        self.refill()

    def action_detail(self) -> None:
        """To a record the item speaks of."""
        records = self.item.records if self.item else ()
        if not records:
            self.say("This item names no single record; it is about all the step covers.")
        elif len(records) == 1:
            self.app.go(records[0])  # type: ignore[attr-defined]
        else:
            from screens.sheets.told import record_line

            options = [(name, record_line(self.session, name)) for name in records]
            self.choose("record behind it", options, self.app.go)  # type: ignore[attr-defined]

    # Answering ------------------------------------------------------------------------------------------------

    def action_accept(self) -> None:
        """Answer the item with yes, once all of it has been on the screen."""
        if self._may("met"):
            self._answer("met", self.item.remark if self.item and self.item.answered != "not met" else "")

    def action_withhold(self) -> None:
        """Answer no; the remark says why. On an item that is withheld an empty remark takes it back."""
        item = self.item
        if item is None or not self._may("not met"):
            return
        back = item.answered == "not met" and not theirs(self.session, item.state)
        hint = "goes back with this item; the draft is kept if you leave"
        hint = "empty it and press Enter to withhold the item no longer" if back else hint
        check = (lambda text: "" if text.strip() or back else NEEDS_REMARK)  # noqa: E731
        key = f"withhold {self.step} {item.id}"
        entry = Entry("remark", key, "remark", item.remark, hint=hint, check=check)
        self.ask(entry, lambda text: self._answer("not met", text.strip()) if text.strip() else self._unanswer(item))

    def _unanswer(self, item: Item) -> bool:
        """Take back an answer that is kept outside the records."""
        kept = self.review is not None and self._told(keep_tick(self.session, self.review, item, "", ""))
        if kept:
            self.say(f"{item.id} is withheld no longer.")
        return kept

    def action_remark(self) -> None:
        """A remark that does not block: it is kept with the item and signed with the statement."""
        item, review = self.item, self.review
        if item is None or review is None or not review.role:
            self.say("No item here to remark on." if item is None else refusal_of(self.session, review, item, "met"))
            return

        def keep(text: str) -> bool:
            kept = self._told(keep_tick(self.session, review, item, item.answered.replace("outdated", ""), text.strip()))
            if kept:
                self.say(f"{item.id}: remark kept, signed with the statement." if text.strip() else f"{item.id}: remark removed.")
            return kept

        def objection(text: str) -> str:
            return "" if text.strip() or item.remark else "the remark is empty; type it, or Esc leaves without one"

        hint = "signed with the statement; w withholds the item instead"
        self.ask(Entry("remark", f"remark {self.step} {item.id}", "remark", item.remark, hint=hint, check=objection), keep)

    def action_concede(self) -> None:
        """Permit the deviation of the check shown."""
        item = self.item
        if item is None:
            self.say("No item here to concede.")
        elif not item.state.concedable:
            self.say(f"{item.id} is {item.state.state}; only what is not met is conceded.")
        else:
            self.ask_concession(item.id, item.state.check.text, item.state.state)

    def _may(self, answer: str) -> bool:
        item, review = self.item, self.review
        if item is None or review is None:
            self.say("All items are behind you; Enter goes on to the passphrase.")
            return False
        reason = refusal_of(self.session, review, item, answer)
        if not reason and answer == "met" and self.page.rest:
            below = self.page.rest
            reason = f"{below} line{'s' if below > 1 else ''} of this item below, page down; accept what you have read."
        if reason:
            self.say(reason)
        return not reason

    def _answer(self, answer: str, remark: str) -> bool:
        item, review = self.item, self.review
        if item is None or review is None:
            self.say("No item here to answer.")
            return False
        if (item.answered, item.remark) == (answer, remark):
            self.say(f"{item.id} {'accepted' if answer == 'met' else 'withheld'} already; nothing is recorded anew.")
            self._next_left(1)
            return True
        kept = self._told(give_answer(self.session, review, item, answer, remark))
        if self.review and self.review.items[self.at].answered == answer:
            self.say(f"{item.id} {'accepted' if answer == 'met' else 'withheld'}, kept.")
            self._next_left(1)
        return kept

    def _told(self, reason: str) -> bool:
        """Read the review anew; say why something could not be kept. Whether it was."""
        top = self.page.top
        self.refill()
        self.page.scroll_rows(top)
        if reason:
            self.say(reason)
        return not reason

    # Signing --------------------------------------------------------------------------------------------------

    def action_enter(self) -> None:
        """On the closing page: the question with the passphrase. On an item: the next one left."""
        if self.item is not None:
            self.action_next_open()
            return
        reason = self.why_not("enter")
        if reason:
            self.say(reason)
            return
        self.app.push_screen(Question(self._question()), self._sign)

    def keys_now(self) -> Sequence[str | tuple[str, str]]:
        """On the page that closes the review Enter signs."""
        sign = ("enter", "send back" if self.review and self.review.withheld else "sign")
        return self.KEYS if self.item is not None else (sign, ("left", "items"), ("group", "other step"))

    def why_not(self, key_id: str) -> str:
        review = self.review
        if review is None:
            return ""
        if key_id in ("accept", "withhold") and self.item is not None:
            return refusal_of(self.session, review, self.item, "met" if key_id == "accept" else "not met")
        if key_id != "enter" or self.item is not None:
            return ""
        running = self.app.running  # type: ignore[attr-defined]
        if running is not None:
            return f"{running.told}; sign when it is done."
        if self.session.read_only:
            return f"Read-only: {self.session.lock.reason or 'opened to look'}."
        if review.left and review.role:
            left = ", ".join(item.id for item in review.left)
            return f"{len(review.left)} item{'s' if len(review.left) > 1 else ''} left: {left}; o goes to the next."
        try:
            statement = statement_of(review)
            if self._decision == "released":
                refuse_repeated(self.session.opened, self.step, self.session.person, review.role)
            prepare_signoff(self.session.opened, self.step, self.session.person, review.role, self._decision, statement)
        except (Refusal, StoreError, OSError) as error:
            return str(error)
        return ""

    @property
    def _decision(self) -> str:
        return "sent back" if self.review and self.review.withheld else "released"

    def _question(self) -> Asked:
        review = self.review
        assert review is not None
        number = len(review.withheld)
        back = f"Send step {self.step} back with {number} remark{'s' if number > 1 else ''}?"
        title = back if number else f"Sign step {self.step} {STEPS[self.step]} as {review.role}?"
        body = (
            f"{statement_of(review)}\n\n{self.session.person}, {review.role}. It covers "
            f"{amount(len(review.covered), 'record')} in the present state; a change of any of them supersedes it. "
            "It cannot be taken back, only withdrawn by another sign-off."
        )
        needed = passphrase_of(self.session.person)
        return Asked(title, body, "send back" if number else "sign", "not now", (needed,))

    def _sign(self, answer: dict[str, str] | None) -> None:
        review = self.review
        if not answer or review is None:
            self.say("Nothing was signed.")
            return
        decision, statement = self._decision, statement_of(review)
        try:
            change = sign_step(
                self.session.opened, self.step, self.session.person, review.role, answer["passphrase"],
                decision=decision, statement=statement,
            )  # fmt: skip
        except (Refusal, StoreError, OSError) as error:
            self.say(str(error))
            return
        if self.session.record(change):
            self.refill()
            self._go(len(self.review.items) if self.review else 0)
            self.say(f"{change.message[0].upper()}{change.message[1:]}; the passphrase is not kept.")
