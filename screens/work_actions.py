"""Long work of the app: calculating, printing the draft, freezing; one at a time, each in a process of its own."""

from __future__ import annotations

from typing import Any

from dossier.actions.refusal import Refusal
from dossier.store.revisions import letters, next_letter
from screens.long_work import Progress, Work, calculation, change_of, outcome, outrun
from screens.session import Session
from screens.widgets.frame_lines import progress_text


class WorkActions:
    """Mixin of the app. While work runs the sheets stay usable; Esc stops it, and then nothing of it stays."""

    def calculate(self: Any, ids: list[str]) -> None:
        """Run calculations and record their results when all are done."""
        self._begin(calculation(ids), writes=True)

    def print_draft(self: Any) -> None:
        """Print the document as a draft into the project's folder of drafts."""
        self._begin(Work("draft", "the draft", "being printed"), writes=False)

    def freeze(self: Any, passphrase: str) -> None:
        """Freeze the revision in work, its document signed with the person's key."""
        if self.session is not None:
            letter = next_letter(self.session.opened.folder.root)
            self._begin(Work("freeze", f"revision {letter}", "being frozen", secret=passphrase), writes=True)

    def _begin(self: Any, work: Work, *, writes: bool) -> None:
        session = self.session
        if session is None:
            return
        if self.running is not None:
            self._say(f"{self.running.told}; Esc stops it first.")
        elif writes and session.read_only:
            self._say(f"Read-only: {session.lock.reason or 'opened to look'}. Nothing is {work.doing.removeprefix('being ')}.")
        else:
            self.running = work
            self._progress(Progress(0.0 if work.verb == "run" else None, words="" if work.verb == "run" else "begun"))
            self.run_worker(self._work(session, work), group="work", exit_on_error=True)

    async def _work(self: Any, session: Session, work: Work) -> None:
        before = letters(session.opened.folder.root)
        try:
            last = await outcome(session.opened.folder.root, session.person, work, self._progress)
            if last is None:
                session.messages.add(_stopped(session, work, before))
            else:
                _finish(session, last)
        except (Refusal, OSError) as error:
            session.messages.add(_failed(work, error))
        finally:
            self.running = None
            for sheet in self._sheets.values():
                sheet.frame.set_progress(None)
        if self.here is not None and self.session is session:
            self.here.frame.set_progress(None)
            self.here.refill()

    def _progress(self: Any, found: Progress) -> None:
        if self.here is not None:
            self.here.frame.set_progress(progress_text(found.share, found.seconds_left, found.words))

    def _say(self: Any, text: str) -> None:
        if self.session is not None:
            self.session.messages.add(text)
        if self.here is not None:
            self.here.frame.refresh_message()


def _stopped(session: Session, work: Work, before: list[str]) -> str:
    """What is told of stopped work; a revision that was whole before the stop reached it is named."""
    now = [letter for letter in letters(session.opened.folder.root) if letter not in before]
    if now:
        return f"Too late to stop: revision {now[0]} is frozen as a whole."
    if work.verb == "run":
        return f"Stopped: {work.about}. Nothing was recorded; the old values stay."
    return f"Stopped: {work.about} is not {work.doing.removeprefix('being ')}; nothing of it was written."


def _finish(session: Session, last: dict[str, Any]) -> None:
    """Record what was calculated, or tell what was printed or frozen."""
    if "printed" in last:
        printed = last["printed"]
        session.messages.add(f"Draft of {printed['pages']} pages, marked DRAFT on each: {printed['path']}")
    elif "frozen" in last:
        frozen = last["frozen"]
        told = f"{frozen['files']} files, document of {frozen['pages']} pages"
        session.messages.add(f"Revision {frozen['letter']} is frozen: {told}.")
    else:
        change, read = change_of(last)
        if reason := outrun(session, change, read):
            session.messages.add(reason)
        else:
            session.record(change)


def _failed(work: Work, error: Exception) -> str:
    """Why work was not done."""
    done = {"run": "", "draft": "The draft was not printed: ", "freeze": "Nothing was frozen: "}[work.verb]
    return f"{done}{error}"
