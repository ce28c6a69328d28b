"""Long work of the app: calculating, printing the draft, freezing; one at a time, each in a process of its own."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

from dossier.actions.refusal import Refusal
from dossier.store.rawfiles import drop_raw
from dossier.store.revisions import letters, next_letter
from screens.long_work import Progress, Work, calculation, change_of, changed_since, outcome, outrun
from screens.session import Session
from screens.widgets.frame_lines import progress_text

SHARED = ("run", "preview", "take")  # work that tells what share of it is done


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

    def read_files(
        self: Any,
        item: str,
        scheme: str,
        pairs: list[str],
        then: Callable[[dict[str, Any]], None],
        refused: Callable[[str], None],
    ) -> None:
        """Read measured files for an evidence item; `then` is given the preview, `refused` the reason where there is none."""
        work = Work("preview", f"the files of {item}", "being read", [item, scheme, *pairs], many=True, then=then,
                    refused=refused)  # fmt: skip
        self._begin(work, writes=False)

    def take_files(self: Any, item: str, scheme: str, pairs: list[str], then: Callable[[dict[str, Any]], None]) -> None:
        """Take measured files that were previewed into an evidence item; `then` is called when they are recorded."""
        work = Work("take", f"the files of {item}", "being taken in", [item, scheme, *pairs], many=True, then=then)
        self._begin(work, writes=True)

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
            self._progress(Progress(0.0) if work.verb in SHARED else Progress(words="begun"))
            self.run_worker(self._work(session, work), group="work", exit_on_error=True)

    async def _work(self: Any, session: Session, work: Work) -> None:
        before = letters(session.opened.folder.root)
        after: Callable[[], None] | None = None
        try:
            last = await outcome(session.opened.folder.root, session.person, work, self._progress)
            if last is None:
                session.messages.add(_stopped(session, work, before))
            else:
                done = _finish(session, work, last)
                after = partial(work.then, last) if done and work.then else None
        except (Refusal, OSError) as error:
            session.messages.add(_failed(work, error))
            after = partial(work.refused, str(error)) if work.refused else None
        finally:
            self.running = None
            for sheet in self._sheets.values():
                sheet.frame.set_progress(None)
        if self.here is not None and self.session is session:
            self.here.frame.set_progress(None)
            self.here.refill()
        if after is not None and self.session is session:
            after()

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
    verb = "are" if work.many else "is"
    return f"Stopped: {work.about} {verb} not {work.doing.removeprefix('being ')}; nothing of it was written."


def _finish(session: Session, work: Work, last: dict[str, Any]) -> bool:
    """Record what was calculated or taken in, or tell what was printed or frozen; False when it was not recorded."""
    if "printed" in last:
        printed = last["printed"]
        path = Path(printed["path"]).resolve().relative_to(session.opened.folder.root.resolve())
        session.messages.add(f"Draft printed: {path.as_posix()}, {printed['pages']} pages, each marked DRAFT.")
    elif "frozen" in last:
        frozen = last["frozen"]
        told = f"{frozen['files']} files, document of {frozen['pages']} pages"
        session.messages.add(f"Revision {frozen['letter']} is frozen: {told}.")
    elif "change" in last:
        return _recorded(session, work, last)
    return True


def _recorded(session: Session, work: Work, last: dict[str, Any]) -> bool:
    """Record the change that the work made, if it still fits; else drop the raw files that were stored for it."""
    change, read = change_of(last)
    if work.verb != "take":
        reason = outrun(session, change, read)
    elif path := changed_since(session, change, read):
        reason = f"{path} was changed while {work.told}; nothing was taken in, n takes them in again"
    else:
        reason = ""
    if reason:
        session.messages.add(reason)
    done = not reason and session.record(change)
    if not done:
        drop_raw(session.opened.folder.root, last.get("stored", ()))
    return done


def _failed(work: Work, error: Exception) -> str:
    """Why work was not done."""
    done = {"draft": "The draft was not printed: ", "freeze": "Nothing was frozen: "}.get(work.verb, "")
    return f"{done}{error}"
