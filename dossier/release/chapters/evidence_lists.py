"""What evidence rests on: machines with their calibration, reading schemes, parts, documents."""

from __future__ import annotations

from reportlab.platypus import Flowable

from dossier.methods.evidence_recorded import reading_words
from dossier.methods.evidence_static_way import tangent_in_words, zero_in_words
from dossier.methods.evidence_working import window_in_words
from dossier.records.evidence import Channel, Document, Equipment, SchemeRecord, Specimen
from dossier.release.facts import Facts
from dossier.release.flow import Wide, block
from dossier.release.kit import Kit
from dossier.release.tables import Column, Row, table
from dossier.release.text import bold, grouped, join, mono

SMALL = {"size": 6.7, "pad": 1.0}


def lists(kit: Kit, facts: Facts) -> list[Flowable]:
    """Tables of the records that evidence names; an empty kind has no table."""
    found = [_machines(kit, facts), _schemes(kit, facts), _parts(kit, facts), _documents(kit, facts)]
    return [shown for shown in found if shown is not None]


def _machines(kit: Kit, facts: Facts) -> Flowable | None:
    rows: list[Row] = []
    for machine in facts.project.of_kind(Equipment):
        cells = [(*_channel(channel),) for channel in machine.channel] or [("–",) * 5]
        title = ", ".join(part for part in (machine.title, machine.serial, machine.place) if part)
        rows.append(Row((bold(machine.id), title, *cells[0]), anchor=machine.id,
                        anchor_title=f"{machine.id} {machine.title}", together=len(cells) > 1))  # fmt: skip
        rows += [Row(("", "", *rest)) for rest in cells[1:]]
    if not rows:
        return None
    columns = [Column("", 32), Column("machine, serial, place"), Column("channel", 92), Column("U, k = 2", 36, "r"),
               Column("class", 50), Column("certificate", 132), Column("calibrated, valid until", 92)]  # fmt: skip
    return block(kit, "Machines", [Wide(kit, table(kit, columns, rows, **SMALL))], "calibration of every channel")


def _channel(channel: Channel) -> tuple[str, ...]:
    span = f"{channel.quantity} {channel.low:g} .. {channel.high:g} {channel.unit}".replace("-", "−")
    share = f"{100 * channel.uncertainty:.3g} %"
    days = f"{channel.calibrated_on}, {channel.valid_until}"
    return span, share, channel.classification or "–", channel.certificate or "–", days


def _schemes(kit: Kit, facts: Facts) -> Flowable | None:
    rows = [
        Row(
            (bold(s.id), s.title, *(_static_columns(s) if s.low is not None else _own_columns(s))),
            anchor=s.id, anchor_title=f"{s.id} {s.title}",
        )
        for s in facts.project.of_kind(SchemeRecord)
    ]  # fmt: skip
    if not rows:
        return None
    columns = [Column("", 32), Column("reading scheme"), Column("between", 110), Column("cycle", 26, "r"),
               Column("stiffness", 54), Column("compliance", 70), Column("from", 110)]  # fmt: skip
    return block(kit, "Reading", [Wide(kit, table(kit, columns, rows, **SMALL))], "how files are read and evaluated")


def _own_columns(scheme: SchemeRecord) -> tuple[str, ...]:
    """Settings of records of their own kind, and where they come from."""
    parts = (scheme.dynamic, scheme.durability, scheme.load_history)
    source = "; ".join(part.source for part in parts if part is not None and part.source) or "–"
    return reading_words(scheme), "–", "–", "–", source


def _static_columns(scheme: SchemeRecord) -> tuple[str, ...]:
    window = window_in_words(*scheme.window, scheme.between, _rotational(scheme))
    cycle = f"{scheme.cycle} to {scheme.last_cycle}" if scheme.last_cycle else str(scheme.cycle)
    kind = tangent_in_words(scheme, _rotational(scheme)) if scheme.stiffness == "tangent" else scheme.stiffness
    zero = f"; {zero_in_words(scheme)}" if scheme.zero != "start" else ""
    return (f"{window}, by {scheme.between}{zero}", cycle, kind, _compliance(scheme), scheme.fixture_source or "–")


def _rotational(scheme: SchemeRecord) -> bool:
    """Whether the scheme reads a torque over an angle."""
    channels = {channel.get("channel") for channel in scheme.reading.get("channels", [])}
    return bool({"torque", "angle"} & channels) and "force" not in channels


def _compliance(scheme: SchemeRecord) -> str:
    """What the fixture gives way, in µm/kN or °/(kN·m)."""
    value, unit = scheme.fixture_compliance * 1e6, "°/(kN·m)" if _rotational(scheme) else "µm/kN"
    return f"{value:.3g} {unit}" if value else "0"


def _parts(kit: Kit, facts: Facts) -> Flowable | None:
    """Parts that are alike in all this shows, and were tested in the same items, share a row."""
    tested: dict[str, list[str]] = {}
    for item in facts.project.evidence:
        for sample in item.samples:
            tested.setdefault(sample.specimen, []).append(item.id)
    alike: dict[tuple, list[str]] = {}
    for part in facts.project.of_kind(Specimen):
        alike.setdefault((*_of_part(part), *dict.fromkeys(tested.get(part.id, []))), []).append(part.id)
    if not alike:
        return None
    fixed = len(_of_part(facts.project.of_kind(Specimen)[0]))
    rows = [Row((bold(", ".join(ids)), *key[:fixed], _ids(kit, list(key[fixed:])))) for key, ids in alike.items()]
    columns = [Column("parts", 56), Column("design", 34), Column("batch", 30), Column("cured", 42), Column("heats", 46),
               Column("pressed in", 62), Column("storage", 66), Column("origin", 50), Column("tested in")]  # fmt: skip
    return block(kit, "Parts", [Wide(kit, table(kit, columns, rows, **SMALL))], "what was tested, and where it is from")


def _of_part(part: Specimen) -> tuple[str, ...]:
    heats = ", ".join(heat for heat in (part.steel_heat, part.ring_heat) if heat) or "–"
    design = f"{part.design} {part.drawing_index}".strip()
    return design, part.batch or "–", part.cured_on or "–", heats, part.pressed_in or "–", part.storage or "–", part.origin


def _ids(kit: Kit, items: list[str]) -> str:
    return join((kit.ref(item, page=False) for item in dict.fromkeys(items)), ", ") if items else "–"


def _documents(kit: Kit, facts: Facts) -> Flowable | None:
    rows = [
        Row((bold(d.id), d.title, d.kind, d.index or "–", f"{d.on or ''} {d.by}".strip() or "–", d.file_name or "–",
             mono(grouped(d.file[:16])) if d.file else "–"), anchor=d.id, anchor_title=f"{d.id} {d.title}")
        for d in facts.project.of_kind(Document)
    ]  # fmt: skip
    if not rows:
        return None
    columns = [Column("", 32), Column("document"), Column("kind", 54), Column("index", 30), Column("on, by", 96),
               Column("file", 70), Column("SHA-256 begins", 84)]  # fmt: skip
    return block(kit, "Documents", [Wide(kit, table(kit, columns, rows, **SMALL))], "digests in full: manifest")
