"""Permitting a deviation of a requirement or check: reason, limit, until when, under the name of the person."""

from __future__ import annotations

from datetime import date

from dossier.actions.answer import concede
from screens.sheets.sheet import Sheet
from screens.widgets.modal import Question
from screens.widgets.question import Asked, Needed

DEVIATIONS = ("deviation before manufacture", "concession after manufacture")


class Concedes(Sheet):
    """A sheet on which what is under the cursor can be conceded."""

    def ask_concession(self, target: str, title: str, state: str) -> None:
        """Ask for reason, limit, day and kind, then record the concession of a requirement or check."""
        body = (f"{title} is {state}. The concession is recorded under the name of {self.session.person}, printed in the "
                "document, and ends by itself. Accepted in: the registered document with the customer's acceptance.")  # fmt: skip
        fields = (
            Needed("reason", "reason"),
            Needed("limit", "limited to", check=lambda text: ""),
            Needed("until", "until", check=_day, text=""),
            Needed("kind", "kind", text=DEVIATIONS[0], check=_kind),
            Needed("document", "accepted in", needed=False),
        )
        asked = Asked(
            f"Concede {target}?", body, "concede", "leave it as it is", fields, drafts=self.session.drafts,
            deed=lambda texts: self._concede(target, texts),
        )  # fmt: skip
        self.app.push_screen(Question(asked))

    def _concede(self, target: str, texts: dict[str, str]) -> str:
        """Record the concession; why it could not be recorded, or nothing."""
        view, person = self.session.opened.view, self.session.person
        kind = next(kind for kind in DEVIATIONS if kind.startswith(texts["kind"].strip()))
        done = self.record(lambda: concede(view, target, kind, texts["reason"].strip(), texts["limit"].strip(),
                                           texts["until"].strip(), person, document=texts["document"].strip()))  # fmt: skip
        return "" if done else self.session.messages.newest


def _day(text: str) -> str:
    try:
        date.fromisoformat(text.strip())
    except ValueError:
        return f'until = "{text}" is no date; write it as 2027-03-31'
    return ""


def _kind(text: str) -> str:
    known = [kind for kind in DEVIATIONS if text.strip() and kind.startswith(text.strip())]
    return "" if known else f'kind = "{text}" must be {" or ".join(DEVIATIONS)}'
