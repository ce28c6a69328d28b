"""4 Evidence, curve: does the variant behave like the reference?"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from textual import on, work
from textual.binding import BindingType
from textual.widget import Widget

from dossier import units
from dossier.checks.told_evidence import evidence_in_short, shown_unit, undecided_words, value_words
from dossier.checks.told_prediction import prediction_of
from dossier.evidence.cycles import choose, split_cycles
from dossier.evidence.errors import EvaluationError, UnreadableFile
from dossier.evidence.form import ReadingScheme
from dossier.evidence.reading import read_curve
from dossier.methods.evidence_links import PRESS
from dossier.methods.evidence_plots import PLOTTED
from dossier.methods.evidence_signs import KeptSign, kept_signs, unanswered
from dossier.methods.judged_plots import DRAWN
from dossier.records.evidence import EvidenceItem, SchemeRecord
from dossier.records.requirement import Requirement
from dossier.store.errors import StoreError
from dossier.store.project import Project
from dossier.store.rawfiles import find_raw
from screens import keys
from screens.cells import wrap_most
from screens.paint import LineLike
from screens.session import Session
from screens.sheets.recorded_chart import recorded_chart
from screens.sheets.sign_answers import MOST_LINES, AnswersSigns, sign_lines
from screens.widgets.chart import Band, Chart, Curve, Mark
from screens.widgets.curve_view import CurveView
from screens.widgets.house import Lines

LOADS = (("force", "displacement", "kN", 1e-3, "mm"), ("torque", "angle", "N·m", 1e-3, "°"))
TRAVELS = {"force": "travel", "torque": "angle"}
READS = "what was measured is being read ..."
SIDE_TEXT = 19  # columns of a value in the panel at the right
OF_VALUES = "What do the single values show, and how sure is it?"


class CurveSheet(AnswersSigns):
    """The evaluated cycle of a variant's and a reference part's record, with the band of the requirement."""

    NUMBER = "4"
    QUESTION = "Does the variant behave like the reference?"
    KEYS = (("accept", "answer sign"), "zoom-in", ("load", "next pair"), "both", "detail")
    BINDINGS: list[BindingType] = [*keys.bind_all("accept", "load", "load-before", "both", "detail")]
    DEFAULT_CSS = f"CurveSheet #signs {{ height: auto; max-height: {MOST_LINES}; padding: 0 1; }}"

    def __init__(self, session: Session, item_id: str) -> None:
        self.item_id = item_id
        self.pair = 0
        self.all_parts = False
        single = getattr(session.opened.project.find(item_id), "quantity", "") in DRAWN
        self.TITLE_WORD = f"Evidence, {'values' if single else 'curve'} {item_id}"  # type: ignore[misc]
        if single:
            self.QUESTION = OF_VALUES  # type: ignore[misc]
        super().__init__(session)
        self.pair = _first_with_sign(session.opened.project, self.item)

    def keys_now(self) -> Sequence[str | tuple[str, str]]:
        """Of records that are no single curves: the next part, and the second of two plots."""
        others = self.curve.chart.others if self.is_mounted else 0
        if self.item.quantity in DRAWN:
            return ("zoom-in", *([("both", "other group")] if others else []), "detail", "back")
        parts = () if self.item.quantity == "dynamic" else (("load", "next part"),)
        recorded = ("zoom-in", *parts, *([("both", "other plot")] if others else []), "detail", "back")
        return recorded if self.item.quantity in PLOTTED else self.KEYS

    def body(self) -> Sequence[Widget]:
        self.curve = CurveView(id="curve")
        self.signs = Lines(id="signs")
        return (self.curve, self.signs)

    @property
    def item(self) -> EvidenceItem:  # type: ignore[override]
        """The item as it is now."""
        found = self.session.opened.project.get(self.item_id)
        assert isinstance(found, EvidenceItem)
        return found

    def answer(self) -> str:
        """Ratio with its interval against the agreed margin, or why there is none; of a life what was reached."""
        if self.item.quantity in (*PLOTTED, *DRAWN) and (self.item.result is None or self.item.result.value("ratio") is None):
            return " ".join([evidence_in_short(self.session.opened.view, self.item),
                             *undecided_words(self.session.opened.view, self.item)])  # fmt: skip
        ratio = self.item.result.value("ratio") if self.item.result else None
        if ratio is None or ratio.value is None or ratio.low is None or ratio.high is None:
            told = f"{evidence_in_short(self.session.opened.view, self.item)} {self._not_compared()}"
            return " ".join([told, *undecided_words(self.session.opened.view, self.item)])
        margin = self.item.margin
        told = f"ratio {ratio.value:.3f}, 90 % interval {ratio.low:.3f} .. {ratio.high:.3f}"
        if margin is None:
            return f"{told}; no margin is agreed."
        inside = margin.holds(ratio.low, ratio.high)
        lead, word = ("Yes", "inside") if inside else ("Not shown", "not inside")
        return f"{lead}: {told} {word} {margin.words}."

    def _not_compared(self) -> str:
        measured = bool(self.item.reference) and any(
            getattr(self.session.opened.project.find(sample.specimen), "design", "") == self.item.reference
            for sample in self.item.samples
        )
        none = "No reference part is measured in it yet." if self.item.reference else "No reference part in this test."
        return "Not compared: no ratio was evaluated." if measured else none

    def record_at_cursor(self) -> str:
        return self.item_id

    def fill(self) -> None:
        self.curve.focus()
        if not self.curve.chart.curves:
            self.signs.show([READS])
        self._load()

    def action_back(self) -> None:
        """Back to the list."""
        self.app.pop_screen()

    def action_load(self) -> None:
        """The next pair of specimens."""
        self.pair += 1
        self._load()

    def action_load_before(self) -> None:
        """The pair before."""
        self.pair -= 1
        self._load()

    def action_detail(self) -> None:
        """How the value comes from what was measured, and every sign in full."""
        self.app.show_working(self.item_id)  # type: ignore[attr-defined]

    def action_both(self) -> None:
        """All single parts, or one pair."""
        self.all_parts = not self.all_parts
        self._load()

    @work(thread=True, exclusive=True, group="curve")
    def _load(self) -> None:
        try:
            chart = chart_of(self.session, self.item, self.pair, self.all_parts)
        except (UnreadableFile, EvaluationError, LookupError, StoreError, OSError) as error:
            self.app.call_from_thread(self._not_read, str(error))
            return
        self.app.call_from_thread(self._show, chart)

    def _not_read(self, reason: str) -> None:
        self.signs.show([])
        self.say(reason, self.item_id)

    def _show(self, chart: Chart) -> None:
        self.curve.show(chart)
        self.show_keys()
        self.curve.set_side(_side_lines(self.session, self.item))
        if self.item.quantity in DRAWN:
            self.signs.show(lambda columns: wrap_most(chart.told, columns, MOST_LINES))
            return
        if self.item.quantity in PRESS:
            self.signs.show(lambda columns: _press_lines(self.item, chart, columns))
            return
        shown = {curve.short for curve in chart.curves}
        self.signs.show(lambda columns: sign_lines(self.session, self.item, shown, columns))

    @on(CurveView.Drew)
    def _drew(self, message: CurveView.Drew) -> None:
        predicted = prediction_of(self.session.opened.project, self.item)
        told = predicted.in_words() if predicted else f"{message.points} points drawn as {message.drawn}; peaks kept."
        if self.item.quantity in DRAWN:
            told = "Left and right walk from part to part; i shows how the numbers come from them."
        self.say(told)


def chart_of(session: Session, item: EvidenceItem, pair: int, all_parts: bool) -> Chart:
    """The evaluated cycles as a chart; of other records their course, with `all_parts` the second of its two plots.

    Raises LookupError when scheme or files are missing.
    """
    if item.quantity in (*PLOTTED, *DRAWN):
        return recorded_chart(session, item, pair, all_parts)
    scheme = session.opened.project.find(item.scheme)
    if not isinstance(scheme, SchemeRecord):
        raise LookupError(f"{item.id} names no reading scheme; its curves cannot be read")
    project = session.opened.project
    groups = _groups(project, item)
    if not any(groups.values()):
        raise LookupError(f"{item.id} has no measured file yet; n imports one")
    curves, marks, unit = [], [], ("mm", "kN")
    signs = kept_signs(item)
    for form, samples in groups.items():
        for number, sample in enumerate(samples):
            if not all_parts and number != pair % len(samples):
                continue
            whole, rows, unit = _record(session, scheme, sample)
            x, y = (values[rows] for values in whole)
            marks += _marks(whole, [sign for sign in signs if sign.specimen == sample.specimen])
            curves.append(Curve(f"{form} {sample.specimen}", x, y, form if not all_parts else "part", sample.specimen))
    load, factor = next((entry[0], entry[3]) for entry in LOADS if entry[2] == unit[1])
    curves += _predicted_curve(project, item, factor)
    return Chart(curves, *unit, _band(session, item, unit), marks, x_name=TRAVELS[load], y_name=load)


def _groups(project: Project, item: EvidenceItem) -> dict[str, list[Any]]:
    """Samples with a file that count, of the variant and of the reference part."""
    groups: dict[str, list[Any]] = {"variant": [], "reference": []}
    for sample in item.samples:
        specimen = project.find(sample.specimen)
        if sample.file and not sample.left_out and specimen is not None:
            groups["reference" if getattr(specimen, "design", "") == item.reference else "variant"].append(sample)
    return groups


def _first_with_sign(project: Project, item: EvidenceItem) -> int:
    """Number of the pair that shows the first sign nobody answered, so that the curve opens there; else the first pair."""
    waiting = {sign.specimen for sign in unanswered(item)}
    for samples in _groups(project, item).values():
        for number, sample in enumerate(samples):
            if sample.specimen in waiting:
                return number
    return 0


def _predicted_curve(project: Project, item: EvidenceItem, factor: float) -> list[Curve]:
    """The predicted curve, computed once for the records as they are; none where it cannot be computed again."""
    found = prediction_of(project, item)
    if found is None:
        return []
    known = project.derived.setdefault("predicted curves", {})
    name = found.calculation.id
    if name not in known:
        try:
            known[name] = found.points()
        except (ValueError, ArithmeticError):
            known[name] = None
    if known[name] is None:
        return []
    travels, loads = known[name]
    return [Curve(found.label, np.array(travels), factor * np.array(loads), "second", name)]


def _record(session: Session, scheme: SchemeRecord, sample: Any) -> tuple[tuple[Any, Any], slice, tuple[str, str]]:
    """Travel and load of the whole record, the rows of the evaluated cycle, and both units."""
    path = find_raw(session.opened.folder.root, sample.file)
    if path is None:
        raise LookupError(f"{sample.file_name or sample.file[:16]} is not there; expected digest {sample.file[:16]}")
    curve = read_curve(path, ReadingScheme.from_dict(scheme.reading), name=sample.file_name)
    load, travel, shown, factor, unit = next(entry for entry in LOADS if entry[0] in curve.channels)
    loads, travels = curve.channel(load), curve.channel(travel)
    rows = choose(split_cycles(loads), scheme.cycle).loop
    return (travels - scheme.fixture_compliance * loads, loads * factor), rows, (unit, shown)


def _marks(whole: tuple[Any, Any], signs: Sequence[KeptSign]) -> list[Mark]:
    """The signs of a part where they begin, in whatever cycle that is."""
    return [
        Mark(sign.letter, float(whole[0][sign.row]), float(whole[1][sign.row])) for sign in signs if sign.row < len(whole[0])
    ]


def _band(session: Session, item: EvidenceItem, unit: tuple[str, str]) -> Band | None:
    for served in item.serves:
        requirement = session.opened.project.find(served.requirement)
        target = "kN/mm" if unit[1] == "kN" else "N·m/°"
        if isinstance(requirement, Requirement) and requirement.limit.kind == "range" and requirement.unit == target:
            return Band(requirement.limit.min or 0.0, requirement.limit.max or 0.0, f"band of {requirement.id}")
    return None


def _side_lines(session: Session, item: EvidenceItem) -> list[str]:
    """Values of the evaluation in the unit of the requirement, each with its band in a line of its own."""
    lines = []
    for name in ("variant", "reference", "ratio"):
        value = item.result.value(name) if item.result else None
        if value is not None and value.value is not None:
            unit = value.unit if name == "ratio" else shown_unit(session.opened.view, item, value)
            lines += [name, *(f"  {part}" for part in wrap_most(value_words(value, unit), SIDE_TEXT, 2))]
    return [*lines, *_deviation_lines(item), *_predicted_lines(session, item)]


def _deviation_lines(item: EvidenceItem) -> list[str]:
    """Where the mean curves differ most."""
    found = [item.result.value(name) for name in ("curve_deviation", "curve_deviation_at")] if item.result else []
    if len(found) < 2 or any(value is None or value.value is None for value in found):
        return []
    share, at = found
    place = units.show_quantity(at.value, at.unit)
    return ["means differ most", f"  {units.show_signed(100 * share.value, 1)} %", f"  at {place}"]


def _press_lines(item: EvidenceItem, chart: Chart, columns: int) -> list[LineLike]:
    """What was found of the press curves that are drawn."""
    drawn = [curve.name.rpartition(" ")[2] for curve in chart.curves]
    notes = [note for note in (item.result.warnings if item.result else ()) if note.partition(":")[0] in drawn]
    return [text for note in notes for text in wrap_most(note, columns, 2)][:MOST_LINES]


def _predicted_lines(session: Session, item: EvidenceItem) -> list[str]:
    found = prediction_of(session.opened.project, item)
    if found is None:
        return []
    deviation = found.deviation()
    told = "not compared" if deviation is None else f"{units.show_signed(100 * deviation, 1)} % of measured"
    return [found.label, f"  {told}"]
