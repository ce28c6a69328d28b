"""The trace on paper: which record stands on which page, links to it, and proof that every link lands."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from io import BytesIO
from typing import TYPE_CHECKING

from reportlab.platypus import Flowable

from dossier.release.page import LINK
from dossier.release.text import NO_BREAK, Markup, join, text

if TYPE_CHECKING:
    from reportlab.pdfgen.canvas import Canvas

SHEET_LEVEL, RECORD_LEVEL = 0, 1
SUFFIX_SIZE = 5.6
GUESS = 10  # page printed in the first pass: most pages of a dossier have two digits
HALF_DIGIT = NO_BREAK  # as wide as half a digit in this face; paragraphs drop a figure space


class TraceError(ValueError):
    """An id stands twice, or a link has no place to land."""


def sheet_id(number: str) -> str:
    """The id under which a sheet is anchored."""
    return f"sheet {number}"


def key_of(identifier: str) -> str:
    """Name of the destination inside the PDF: any id becomes plain letters and digits."""
    return "r" + identifier.encode("utf-8", "backslashreplace").hex()


class Trace:
    """Ids and pages of one pass, with the page map of the pass before.

    `before` is None in the first pass. `known` are all ids of the project, where they are to be checked:
    an id printed that is not among them is reported. With `reserve` digits a page number always takes the
    same room, so that a layout that would swing between two page maps settles.
    """

    def __init__(
        self, before: Mapping[str, int] | None = None, known: Iterable[str] | None = None, reserve: int = 0
    ) -> None:
        self.before = before
        self.known = None if known is None else frozenset(known)
        self.reserve = reserve
        self.pages: dict[str, int] = {}
        self.printed: set[str] = set()
        self.linked: set[str] = set()
        self._level = -1

    def ref(self, identifier: str, *, page: bool = True, label: str | Markup | None = None) -> Markup:
        """The id as a link with its page; plain where the document does not hold the record."""
        self.printed.add(identifier)
        shown = text(identifier if label is None else label)
        if self.before is None:
            return shown + (self._suffix(GUESS) if page else "")
        if identifier not in self.before:
            return shown
        self.linked.add(identifier)
        suffix = self._suffix(self.before[identifier]) if page else Markup()
        return Markup(f'<a href="#{key_of(identifier)}" color="{LINK}">{shown}{suffix}</a>')

    def refs(self, identifiers: Iterable[str], *, page: bool = True) -> Markup:
        """Several of them, with commas."""
        return join(self.ref(identifier, page=page) for identifier in identifiers)

    def page_of(self, identifier: str) -> str:
        """The page number as text, empty where the document does not hold the record; a guess in the first pass."""
        if self.before is None:
            return str(GUESS)
        return str(self.before[identifier]) if identifier in self.before else ""

    def note(self, **groups: Iterable[str]) -> Markup:
        """Lines for the margin: serves, rests_on, beside … each with its ids; empty groups are left out."""
        lines = [
            text(name.replace("_", " ") + " ") + self.refs(identifiers)
            for name, identifiers in ((name, list(ids)) for name, ids in groups.items())
            if identifiers
        ]
        return Markup("<br/>".join(lines))

    def anchor(
        self, canvas: Canvas, identifier: str, top: float, title: str = "", level: int = RECORD_LEVEL
    ) -> None:
        """Anchor an id at the height `top` of the current drawing position, with an outline entry if titled."""
        page = canvas.getPageNumber()
        if identifier in self.pages:
            raise TraceError(
                f"{identifier} is anchored on page {self.pages[identifier]} and again on page {page}; "
                "anchor each record once"
            )
        self.pages[identifier] = page
        canvas.bookmarkHorizontal(key_of(identifier), 0, top)
        if title:
            self._level = min(level, self._level + 1)
            canvas.addOutlineEntry(title, key_of(identifier), self._level)

    def check(self) -> None:
        """Raise TraceError if a link of this pass has no anchor in it."""
        lost = sorted(self.linked - set(self.pages))
        if lost:
            raise TraceError(f"links to {', '.join(lost)} have no place to land; anchor these records")

    @property
    def unknown(self) -> list[str]:
        """Ids printed that the project does not have."""
        anchored_or_known = (self.known or frozenset()) | set(self.pages)
        return [] if self.known is None else sorted(self.printed - anchored_or_known)

    def _suffix(self, page: int) -> Markup:
        number = f"p{page}"
        padding = HALF_DIGIT * 2 * max(0, self.reserve - len(str(page)))
        return Markup(f'<font size="{SUFFIX_SIZE}">\u00a0{number}{padding}</font>')


class Anchor(Flowable):
    """A place of no size that links to a record land on."""

    _ZEROSIZE = True

    def __init__(self, trace: Trace, identifier: str, title: str = "") -> None:
        super().__init__()
        self.trace, self.identifier, self.title = trace, identifier, title
        self.width = self.height = 0

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        return 0, 0

    def getKeepWithNext(self) -> int:  # noqa: N802
        return 1

    def draw(self) -> None:
        self.trace.anchor(self.canv, self.identifier, 10, self.title)


def landing_problems(pdf: bytes) -> list[str]:
    """Links and outline entries of a finished PDF that lead nowhere, in words; empty when all land."""
    from pypdf import PdfReader

    reader = PdfReader(BytesIO(pdf))
    places = {page.indirect_reference.idnum for page in reader.pages}
    names = set(reader.named_destinations)
    problems = []
    for number, page in enumerate(reader.pages, 1):
        for reference in page.get("/Annots") or []:
            annotation = reference.get_object()
            if annotation.get("/Subtype") == "/Link" and not _lands(annotation, places, names):
                problems.append(f"page {number}: link at {annotation.get('/Rect')} leads nowhere")
    for entry in outline_entries(reader.outline):
        if reader.get_destination_page_number(entry) is None:
            problems.append(f"outline: {entry.title} leads nowhere")
    return problems


def _lands(annotation: Mapping, places: set[int], names: set[str]) -> bool:
    """A link inside the document lands on one of its pages, by name or by page; there are no others."""
    action = annotation.get("/A")
    target = annotation.get("/Dest") if action is None else action.get_object().get("/D")
    if isinstance(target, list):
        return target[0].idnum in places
    return str(target).lstrip("/") in names


def outline_entries(outline: list) -> Iterator:
    """Entries of pypdf's nested outline, in order."""
    for entry in outline:
        if isinstance(entry, list):
            yield from outline_entries(entry)
        else:
            yield entry
