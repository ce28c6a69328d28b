"""People and keys: who works on the project, and the key with which a person signs."""

from __future__ import annotations

from dossier.actions.people import add_person, register_key
from dossier.actions.refusal import Refusal
from dossier.records.header import ROLE_NAMES
from dossier.store import keys as stored_keys
from dossier.store.errors import StoreError
from screens.paint import LineLike
from screens.sheets.editing import Edits, refused
from screens.sheets.passphrase import passphrase_of
from screens.widgets.entry import Entry
from screens.widgets.modal import Question
from screens.widgets.question import Asked, Needed

PERSON, KEY = "person", "key"
LEAST_PASSPHRASE = 8


class Joins(Edits):
    """A sheet on which people join and keys are made."""

    def action_new(self) -> None:
        """A person, or the key of the one who acts."""
        options: list[tuple[str, LineLike]] = [(PERSON, "a person of this project, or more roles for one who is there")]
        if not self._registered:
            has = stored_keys.key_path(self.session.person).exists()
            mine = "the public part of my key" if has else "a signing key of mine"
            options.insert(0, (KEY, f"{mine}, entered in this project"))
        self.choose("new", options, lambda what: self._person() if what == PERSON else self._key())

    @property
    def _registered(self) -> bool:
        known = self.session.opened.project.header.person(self.session.person)
        return known is not None and bool(known.public_key)

    # People -------------------------------------------------------------------------------------------------------

    def _person(self) -> None:
        def objection(name: str) -> str:
            return "" if name.strip() else "name is empty; type it as it shall stand under signatures"

        entry = Entry("edit", "person name", "name", hint="as it stands under signatures", check=objection, width=30)
        self.ask(entry, self._roles)

    def _roles(self, name: str) -> None:
        project, person = self.session.opened.project, self.session.person

        def make(text: str):
            return add_person(project, name.strip(), [role.strip().upper() for role in text.split(";") if role.strip()], person)

        hint = "with ; between: " + ", ".join(f"{role} {word}" for role, word in ROLE_NAMES.items())
        entry = Entry("edit", f"person roles {name}", f"roles of {name.strip()}", hint=hint,
                      check=lambda text: refused(lambda: make(text)), width=16)  # fmt: skip
        self.ask(entry, lambda text: self.record(lambda: make(text)))

    # Keys ---------------------------------------------------------------------------------------------------------

    def _key(self) -> None:
        person = self.session.person
        if self.session.read_only:
            self.say(f"Read-only: {self.session.lock.reason or 'opened to look'}. No key is made here.")
        elif stored_keys.key_path(person).exists():
            asked = Asked("Enter your key in this project?", "Its public part is written into project.toml; your sign-offs are "
                          "verified with it.", "enter it", "not now", (passphrase_of(person),), irreversible=False)  # fmt: skip
            self.app.push_screen(Question(asked), self._register)
        else:
            first = Needed("passphrase", "new passphrase", secret=True, check=_long_enough)
            again = Needed("again", "the same again", secret=True, check=lambda text: _same(first.buffer.text, text))
            body = (f"A key for {person} is made in {stored_keys.key_path(person).parent} and opens only with this passphrase, "
                    "which nobody can give back to you. Its public part is entered in this project.")  # fmt: skip
            asked = Asked("Make your signing key?", body, "make it", "not now", (first, again), irreversible=False)
            self.app.push_screen(Question(asked), self._make)

    def _make(self, answer: dict[str, str] | None) -> None:
        if answer is None:
            return
        try:
            key = stored_keys.new_key(self.session.person, answer["passphrase"])
        except (StoreError, OSError) as error:
            self.say(str(error))
            return
        self._enter_public(key.hexadecimal)

    def _register(self, answer: dict[str, str] | None) -> None:
        if answer is None:
            return
        try:
            _, key = stored_keys.sign(self.session.person, answer["passphrase"], b"")
        except (StoreError, OSError) as error:
            self.say(str(error))
            return
        self._enter_public(key.hexadecimal)

    def _enter_public(self, hexadecimal: str) -> None:
        project, person = self.session.opened.project, self.session.person

        def make():
            if project.header.person(person) is None:
                raise Refusal(f"{person} is not among the project's people; n adds a person")
            return register_key(project, person, hexadecimal)

        self.record(make)


def _long_enough(text: str) -> str:
    return "" if len(text) >= LEAST_PASSPHRASE else f"{len(text)} characters; at least {LEAST_PASSPHRASE} are needed"


def _same(first: str, again: str) -> str:
    return "" if first == again else "the two differ; type the same passphrase twice"
