"""The document: passes until the page map stands, outline, attachments, the same bytes for the same input."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path

from reportlab import rl_config
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, PageTemplate

from dossier.release.furniture import DocumentInfo, DossierCanvas, draw_furniture
from dossier.release.kit import Kit
from dossier.release.page import Page
from dossier.release.text import plain
from dossier.release.trace import Trace

MOST_PASSES, FREE_PASSES = 7, 3

StoryFactory = Callable[[Kit], list[Flowable]]
Progress = Callable[[int], None]


class DocumentError(RuntimeError):
    """The document could not be built as it should be."""


@dataclass(frozen=True)
class BuildReport:
    """What was built: pages, passes, where each id stands, and ids printed that the project does not have."""

    pages: int
    passes: int
    page_map: Mapping[str, int]
    unknown_ids: tuple[str, ...]


def build_document(
    story_factory: StoryFactory, info: DocumentInfo, page: Page, target: str | Path | BytesIO, *,
    attachments: Mapping[str, bytes] | None = None, known_ids: Iterable[str] | None = None,
    progress: Progress | None = None,
) -> BuildReport:  # fmt: skip
    """Build the PDF in as many passes as the page numbers need to settle, and write it to `target`.

    `story_factory` is called once per pass with a fresh `Kit` and returns the flowables. `progress` is called
    with the number of pages drawn so far, over all passes; an exception from it stops the build and leaves
    `target` untouched. `attachments` travel inside the file under their (ASCII) names.

    Raises DocumentError if page numbers do not settle, TraceError if a link has no place to land.
    """
    _check_names(attachments or {})
    known = None if known_ids is None else frozenset(known_ids)
    before: dict[str, int] | None = None
    drawn = reserve = most = 0
    for number in range(1, MOST_PASSES + 1):
        trace = Trace(before, known, reserve)
        stream, pages = _one_pass(story_factory, info, page, trace, progress, drawn)
        drawn += pages
        if trace.pages == before:
            trace.check()
            _write(_finish(stream, info, attachments or {}), target)
            return BuildReport(pages, number, dict(trace.pages), tuple(trace.unknown))
        before, most = trace.pages, max(most, pages)
        if number >= FREE_PASSES:
            reserve = len(str(most))
    raise DocumentError(
        f"page numbers still move after {MOST_PASSES} passes; the story must not depend on anything but the kit"
    )


class _Template(BaseDocTemplate):
    def __init__(
        self, stream: BytesIO, kit: Kit, info: DocumentInfo, progress: Progress | None, drawn: int
    ) -> None:
        page = kit.page
        super().__init__(
            stream, pagesize=page.paper, title=_metadata(f"{info.title}, {info.identification}"),
            author=_metadata(info.created_by), subject=_metadata(f"{info.document_type}, revision {info.revision}"),
            keywords=_metadata(info.notice), creator=_metadata(info.owner), producer="reportlab", lang=info.language,
            invariant=1,
        )  # fmt: skip
        self.kit, self.info, self.progress, self.drawn = kit, info, progress, drawn
        frame = Frame(page.main_left, page.frame_bottom, page.main, page.height, 0, 0, 0, 0)
        self.addPageTemplates([PageTemplate("sheet", [frame], onPageEnd=self._end)])

    def _end(self, canvas: Canvas, _: BaseDocTemplate) -> None:
        if not self.kit.trace.measuring:
            draw_furniture(canvas, self.kit, self.info, self.page)
        self.kit.course.turn()
        if self.progress:
            self.progress(self.drawn + self.page)


def _one_pass(
    story_factory: StoryFactory,
    info: DocumentInfo,
    page: Page,
    trace: Trace,
    progress: Progress | None,
    drawn: int,
) -> tuple[BytesIO, int]:
    kit, stream = Kit(page, trace), BytesIO()
    template = _Template(stream, kit, info, progress, drawn)
    with _binary_streams():
        template.build(story_factory(kit), canvasmaker=DossierCanvas)
    return stream, template.page


@contextmanager
def _binary_streams():
    """Streams without ASCII armour: a tenth smaller."""
    saved, rl_config.useA85 = rl_config.useA85, 0
    try:
        yield
    finally:
        rl_config.useA85 = saved


def _finish(stream: BytesIO, info: DocumentInfo, attachments: Mapping[str, bytes]) -> bytes:
    """Attachments, the date of issue as the file's date, and the outline open when the file is opened."""
    from pypdf import PdfWriter

    writer = PdfWriter(clone_from=stream)
    for name, data in attachments.items():
        writer.add_attachment(name, data)
    day = re.fullmatch(r"(\d{4})-(\d{2})-(\d{2})", info.date_of_issue)
    if day:
        stamp = f"D:{''.join(day.groups())}000000Z"
        writer.add_metadata({"/CreationDate": stamp, "/ModDate": stamp})
    writer.page_mode = "/UseOutlines"
    out = BytesIO()
    writer.write(out)
    return out.getvalue()


def _check_names(attachments: Mapping[str, bytes]) -> None:
    for name in attachments:
        if not name.isascii() or not name.isprintable() or not name or "/" in name or "\\" in name:
            raise ValueError(f"attachment name = {name!r} must be plain ASCII without folders; rename it")


def _write(data: bytes, target: str | Path | BytesIO) -> None:
    if isinstance(target, BytesIO):
        target.write(data)
    else:
        Path(target).write_bytes(data)


def _metadata(value: str) -> str:
    return plain(value)[:300]
