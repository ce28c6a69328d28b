"""The left margin of wide terminals: the small section, and what the record at the cursor serves and rests on."""

from __future__ import annotations

from collections.abc import Sequence

from textual.app import ComposeResult
from textual.containers import Vertical

from screens.cells import cut
from screens.paint import LineLike, Piece, line
from screens.widgets.house import Lines
from screens.widgets.section_shape import Section
from screens.widgets.section_view import SectionView

COLUMNS, ROWS = 28, 11
MOST_TARGETS = 5
JOINT = "ABCD"  # the regions of the joint itself: not the eye, and not what has no outline


class TraceMargin(Vertical, inherit_bindings=False):
    """Section above, trace below. Nothing in it takes the cursor."""

    def __init__(self, *, id: str | None = None) -> None:
        super().__init__(id=id)
        self.title = Lines()
        self.view = SectionView(small=True)
        self.view.styles.height = ROWS
        self.trace = Lines()
        self._legend: list[str] = []

    def compose(self) -> ComposeResult:
        """Title, section, trace."""
        yield self.title
        yield self.view
        yield self.trace

    def show_section(self, section: Section, key: str, names: dict[str, str]) -> None:
        """Draw a section with one region marked out, by its letter; `names` are those of its regions, by letter."""
        told = f"{key} {names[key]}" if key else "the joint"
        self.title.show([line(Piece(f" section: {told}", "heading"))])
        drawn = {region.key for half in (section.reference, section.variant) for region in half} or set(names)
        self._legend = legend({letter: name for letter, name in names.items() if letter in drawn and letter in JOINT})
        if section is not self.view.section:
            self.view.show(section)
        self.view.set_highlight(key)

    def show_trace(self, record: str, serves: Sequence[LineLike], rests_on: Sequence[LineLike], here: LineLike = "",
                   above: Sequence[LineLike] = ()) -> None:  # fmt: skip
        """The trace of a record below the lines `above`; long lists are counted."""
        rule = line(" ", Piece("─" * (COLUMNS - 2), "rule"))
        lines: list[LineLike] = [*(line(Piece(row, "quiet")) for row in self._legend), rule]
        lines += [*above, rule] if above else []
        if record:
            lines += [line(Piece(f" trace of {cut(record, COLUMNS - 10)}", "heading")), ""]
            lines += [*_named("serves", serves), "", line(Piece(" here     ", "quiet"), here or record), ""]
            lines += _named("rests on", rests_on)
        self.trace.show(lines)


def legend(names: dict[str, str]) -> list[str]:
    """ " A pin C rubber D ring": the regions of the section, in as many lines as the margin needs."""
    lines = [""]
    for letter, name in names.items():
        told = f" {letter} {name}"
        if lines[-1] and len(lines[-1]) + len(told) > COLUMNS:
            lines.append("")
        lines[-1] += told
    return lines


def _named(word: str, targets: Sequence[LineLike]) -> list[LineLike]:
    if not targets:
        return [line(Piece(f" {word:<9}", "quiet"), Piece("nothing", "quiet"))]
    lines: list[LineLike] = []
    for target in targets[:MOST_TARGETS]:
        content = [target] if isinstance(target, str | Piece) else list(target)
        lines.append(line(Piece(f" {word:<9}", "quiet"), content))
    if len(targets) > MOST_TARGETS:
        lines.append(line(Piece(f" {word:<9}{len(targets) - MOST_TARGETS} more", "quiet")))
    return lines
