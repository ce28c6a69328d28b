"""Finding on a sheet: typing narrows its lists at once and names hits elsewhere; `t` tells the word at the cursor."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from screens.finding import Facts, Query, facts_of, hits_elsewhere, parse_query, row_facts
from screens.glossary import Term, terms, terms_in
from screens.paint import Piece, line, text_of
from screens.widgets.entry import Entry, Option
from screens.widgets.sheet_list import SheetList
from screens.widgets.strip import EntryStrip

if TYPE_CHECKING:
    from screens.session import Session

HINT = "words, an id, a number, or a state"
UNDERSTANDS = "Find understands: R-02  not met  outdated  >0.1  <0  mine  today  pin  17 kN"
WORD, RECORD = "word:", "record:"


def row_texts(rows: SheetList, index: int) -> list[str]:
    """What the source row `index` of a list shows, cell by cell."""
    row = rows._provider(index)
    contents = row.cells if row.line is None else (row.line,)
    return [text_of(line(content) if isinstance(content, str | Piece) else line(*content)) for content in contents]


class Finds:
    """Mixin of the sheets: the search strip and the list of terms."""

    session: Session

    def action_find(self: Any) -> None:
        """Search on this sheet and elsewhere."""
        self._query = parse_query("")
        if self.query(SheetList):
            self._put_away = [block for block in self.query("#body Lines") if block.display]
            for block in self._put_away:
                block.add_class("put-away")
        self.frame.strip.open(Entry("find", "find", "find", hint=HINT))
        self.say(UNDERSTANDS)

    def find_changed(self: Any, message: EntryStrip.Changed) -> None:
        """The text of the search changed: narrow, and list hits elsewhere."""
        query = parse_query(message.text)
        self._narrow(query)
        shown, total = self._rows_shown()
        self.frame.strip.show_below([line(Piece("   on this sheet   ", "quiet"), f"{shown} of {total}, shown above")])
        self.frame.strip.show_options(self._options(query))

    def _narrow(self: Any, query: Query) -> None:
        self._query = query
        for found in self.query(SheetList):
            found.set_no_hit([line(f'   Nothing here matches "{query.text.strip()}"; Esc shows all.')])
            found.filter(None if query.empty else self._keeps(found, query))
            named = next((name for name in found.model.ids if name.casefold() == query.text.strip().casefold()), "")
            if named:
                found.go_to(named)
        self.show_answer()

    def _keeps(self: Any, rows: SheetList, query: Query):
        def keep(index: int) -> bool:
            return query.matches(self._facts(rows, index))

        return keep

    def _facts(self: Any, rows: SheetList, index: int) -> Facts:
        row = row_facts(row_texts(rows, index), rows.model.ids[index])
        record = facts_of(self.session, rows.model.ids[index]) if self.session else None
        return record.joined(row) if record else row

    def _rows_shown(self: Any) -> tuple[int, int]:
        lists = list(self.query(SheetList))
        return sum(found.row_count() for found in lists), sum(len(found.model.ids) for found in lists)

    def narrowed(self: Any) -> str:
        """How many rows a search has left, or nothing when all are shown."""
        if getattr(self, "_query", None) is None or self._query.empty:
            return ""
        shown, total = self._rows_shown()
        return f"{shown} of {total} shown: {self._query.text.strip()}."

    def _options(self: Any, query: Query) -> list[Option]:
        if query.empty:
            return []
        here = {row_id for found in self.query(SheetList) for row_id in found.model.ids}
        records = hits_elsewhere(self.session, query, here) if self.session else []
        words = [Option(f"{WORD}{term.name}", term.line) for term in terms() if query.matches(term.facts)]
        first, rest = ([Option(f"{RECORD}{h.id}", h.line) for h in records if h.by_title is by] for by in (True, False))
        return [*first, *words, *rest]

    def _bring_out(self: Any) -> None:
        """Show again what made room for the search."""
        for block in getattr(self, "_put_away", ()):
            block.remove_class("put-away")
        self._put_away = []

    def keep_found(self: Any, text: str) -> None:
        """Keep the narrowed list; an empty search shows all."""
        self._bring_out()
        self._narrow(parse_query(text))
        if not self._query.empty:
            self.say("The list stays narrowed; Esc shows all again.")

    def show_all_again(self: Any) -> None:
        """All rows, as before the search."""
        self._bring_out()
        self._narrow(parse_query(""))
        self.say("All rows are shown again.")

    def widened(self: Any) -> bool:
        """Show all rows again where a search has narrowed them; whether it had."""
        narrow = bool(self.narrowed())
        if narrow:
            self.show_all_again()
        return narrow

    def go_to_found(self: Any, option: str) -> None:
        """To a hit elsewhere; a word of the list of terms is told here."""
        self._bring_out()
        self._narrow(parse_query(""))
        if option.startswith(WORD):
            self._tell(next(term for term in terms() if term.name == option.removeprefix(WORD)))
        else:
            self.app.go(option.removeprefix(RECORD))

    def action_term(self: Any) -> None:
        """Meaning, symbol and unit of the word at the cursor."""
        found = terms_in(self._text_at_cursor())
        if not found:
            self.say("No word of the list of terms in this row; f finds a term by its name.")
        elif len(found) == 1:
            self._tell(found[0])
        else:
            self.choose("which word", [(term.name, term.line) for term in found], self._tell_named)

    def _tell_named(self: Any, name: str) -> None:
        self._tell(next(term for term in terms() if term.name == name))

    def _tell(self: Any, term: Term) -> None:
        self.say(term.sentence)

    def _text_at_cursor(self: Any) -> str:
        focused = self.focused if isinstance(self.focused, SheetList) else next(iter(self.query(SheetList)), None)
        if focused is None or focused.row_id is None:
            return ""
        texts = row_texts(focused, focused.model.shown[focused.model.cursor])
        record = self.session.opened.project.find(focused.row_id) if self.session else None
        return " ".join((*texts, str(getattr(record, "statement", ""))))
