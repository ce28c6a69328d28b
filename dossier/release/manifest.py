"""Digests in full: one line per file, in two columns that fill page by page."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence

from reportlab.platypus import Flowable

from dossier.release.kit import Kit
from dossier.release.page import HAIR, INK, ROW_RULE
from dossier.release.pen import rule, write
from dossier.release.text import grouped, plain
from dossier.release.typefaces import BOLD, BOOK, MONO, width

NAME_SIZE, DIGEST_SIZE, LINE, BASE = 6, 4.8, 7.15, 1.5
NAME_SIZES = (NAME_SIZE, 5.4, 4.8)  # smaller before a name takes a line of its own
GROUPS, GROUP_GAP, COLUMN_GAP = 8, 1.5, 12
RULE_EVERY = 5
_SHA256 = re.compile(r"[0-9a-f]{64}")


def digest_width() -> float:
    """Width of a printed SHA-256."""
    return GROUPS * (width("0" * 8, MONO, DIGEST_SIZE) + GROUP_GAP) - GROUP_GAP


class DigestLine(Flowable):
    """Name and full SHA-256 in eight groups of eight; without a digest, a bold name."""

    def __init__(self, name: str, digest: str | None, size: float = NAME_SIZE) -> None:
        super().__init__()
        if digest is not None and not _SHA256.fullmatch(digest):
            raise ValueError(
                f'digest of {name} = "{digest}" must be 64 hexadecimal digits; compute its SHA-256'
            )
        self.name, self.digest, self.size = name, digest, size

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        self.width, self.height = available_width, LINE
        return self.width, self.height

    def draw(self) -> None:
        write(self.canv, 0, BASE, self.name, BOOK if self.digest else BOLD, self.size)
        if not self.digest:
            return
        step = width("0" * 8, MONO, DIGEST_SIZE) + GROUP_GAP
        self.canv.setFillColor(INK)
        self.canv.setFont(MONO, DIGEST_SIZE)
        for k, group in enumerate(grouped(self.digest, 8).split()):
            self.canv.drawString(self.width - digest_width() + k * step, BASE, group)


class Manifest(Flowable):
    """Lines in two columns over the full width (put it into Wide); each page fills left, then right."""

    def __init__(self, kit: Kit, lines: Sequence[Flowable]) -> None:
        super().__init__()
        self.kit, self.lines = kit, list(lines)

    def wrap(self, available_width: float, available_height: float) -> tuple[float, float]:
        self.width = available_width
        self.height = self._rows * LINE
        return self.width, self.height

    @property
    def _rows(self) -> int:
        return -(-len(self.lines) // 2)

    def split(self, available_width: float, available_height: float) -> list[Flowable]:
        rows = int(available_height // LINE)
        if rows < min(RULE_EVERY, self._rows):
            return []
        if 2 * rows >= len(self.lines):
            return [self]
        return [Manifest(self.kit, self.lines[: 2 * rows]), Manifest(self.kit, self.lines[2 * rows :])]

    def draw(self) -> None:
        column = (self.width - COLUMN_GAP) / 2
        for i, line in enumerate(self.lines):
            side, row = divmod(i, self._rows)
            line.wrap(column, LINE)
            line.drawOn(self.canv, side * (column + COLUMN_GAP), self.height - (row + 1) * LINE)
        for row in range(RULE_EVERY, self._rows, RULE_EVERY):
            y = self.height - row * LINE
            for left in (0, column + COLUMN_GAP):
                rule(self.canv, left, left + column, y, ROW_RULE, HAIR)


def manifest(
    kit: Kit, files: Iterable[tuple[str, str]], *, suffix: str = ".toml", names: Mapping[str, str] | None = None
) -> Manifest:
    """Path and SHA-256 of every file, in the order given; folders as bold lines, names without `suffix`.

    A file that is named by its own digest stands with the name that `names` gives the digest, so that it is printed
    once. A name that leaves no room for its digest takes lines of its own above it. Raises ValueError for a digest
    that is not a SHA-256.
    """
    column = (kit.page.full - COLUMN_GAP) / 2
    room = column - digest_width() - 4
    lines: list[Flowable] = []
    last = None
    for path, digest in files:
        folder, _, name = path.rpartition("/")
        if folder != last:
            lines.extend(DigestLine(part, None) for part in _pieces(f"{folder or 'project'}/", BOLD, column))
            last = folder
        if name.partition(".")[0] == digest:
            name = (names or {}).get(digest) or f"*{name.removeprefix(digest)}"
        name = plain(name.removesuffix(suffix))
        size = next((size for size in NAME_SIZES if width(name, BOOK, size) <= room), NAME_SIZE)
        if width(name, BOOK, size) > room:
            *above, name = [*_pieces(name, BOOK, column), ""]
            lines.extend(_NameLine(part) for part in above)
        lines.append(DigestLine(name, digest, size))
    return Manifest(kit, lines)


class _NameLine(DigestLine):
    """A piece of a long name above its digest."""

    def __init__(self, name: str) -> None:
        super().__init__(name, None)

    def draw(self) -> None:
        write(self.canv, 0, BASE, self.name, BOOK, NAME_SIZE)


def _pieces(name: str, font: str, room: float) -> list[str]:
    """The name in as many pieces as lines are needed, none of its characters lost."""
    name, pieces = plain(name, font), []
    while name:
        count = len(name)
        while width(name[:count], font, NAME_SIZE) > room:
            count = max(1, int(count * 0.9))
        pieces.append(name[:count])
        name = name[count:]
    return pieces
