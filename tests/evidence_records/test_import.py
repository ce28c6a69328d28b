"""Import of measured files into a small project: dialects, names, owners, runs, and that nothing is half imported."""

from __future__ import annotations

import json
from datetime import date
from functools import cache, partial
from gzip import compress
from pathlib import Path

import numpy as np
import pytest

from dossier.actions import measured
from dossier.actions.edit import add_record, set_field
from dossier.actions.evaluate import evaluate_items
from dossier.actions.opened import Opened
from dossier.actions.recompute import recompute_item
from dossier.actions.refusal import Refusal
from dossier.cli import main
from dossier.evidence import Cancelled
from tests import small_project as small
from tests.evidence.dialects import DIALECTS, ENGLISH, Dialect, write
from tests.evidence.generator import Programme, Record, Rig, with_stiffness
from tests.evidence.generator import measured as shown

LAB = small.LABORATORY
TRUE = {"P-1": 55000.0, "P-2": 56500.0, "P-3": 57000.0}
PROGRAMME = Programme(load=12100.0, frequency=25.0)
# drift, noise and steps of the rig below leave less than this (the generator's own truth is exact to 1e-5)
TOLERANCE = 0.004
RIG = Rig(compliance=9e-7, load_offset=4.0, travel_offset=1e-3, load_noise=1.5, travel_noise=2e-5)


@cache
def ideal(stiffness: float) -> Record:
    """The noise-free record of such a part."""
    return with_stiffness(stiffness, PROGRAMME, low=-11000.0, high=11000.0)


def curve(path: Path, stiffness: float, dialect: Dialect = ENGLISH, seed: int = 1) -> Path:
    """A file of a part with this secant stiffness between ±11 kN in the 4th cycle."""
    record = shown(ideal(stiffness), RIG, seed)
    return write(path, dialect, record.time, record.travel, record.load)


@pytest.fixture
def files(tmp_path: Path) -> dict[str, Path]:
    return {name: curve(tmp_path / f"radial {name}.csv", value, seed=n) for n, (name, value) in enumerate(TRUE.items())}


@pytest.fixture
def opened(tmp_path: Path, files: dict[str, Path]) -> Opened:
    """Two variants and a reference part, a scheme of the first file, a running item and a planned one."""
    opened = small.begin(tmp_path / "project")
    for name, design in (("P-1", "V1"), ("P-2", "V1"), ("P-3", "REF"), ("P-20", "V1")):
        opened.record(add_record(opened.project, "specimen", {"id": name, "design": design, "batch": "7"}, LAB))
    put_scheme(opened, "RS-01", files["P-1"])
    item = {"title": "Radial", "way": "test", "quantity": "radial", "variant": "V1", "reference": "REF"}
    for name, more in (("E-001", {"state": "running", "started_on": "2026-03-01"}), ("E-002", {}),
                       ("E-003", {"state": "aborted", "reason": "power cut"})):  # fmt: skip
        opened.record(add_record(opened.project, "evidence", {"id": name, **item, **more}, LAB))
    return opened


def put_scheme(opened: Opened, name: str, file: Path) -> None:
    opened.record(
        measured.new_scheme(
            opened.project, name, file, "Machine", "-11 kN", "11 kN", LAB, fixture_compliance=9e-7, fixture_source="blank"
        )
    )


def take(opened: Opened, pairs: list[str], item: str = "E-001", scheme: str = "") -> None:
    opened.record(measured.import_curves(opened.project, item, pairs, LAB, scheme))


def raw_names(opened: Opened) -> set[str]:
    folder = opened.folder.root / "evidence" / "files"
    return {path.name for path in folder.iterdir()} if folder.is_dir() else set()


@pytest.mark.parametrize("dialect", DIALECTS)
def test_the_true_stiffness_comes_back_from_every_dialect(opened, tmp_path, dialect):
    path = curve(tmp_path / "P-1.dat", TRUE["P-1"], DIALECTS[dialect])
    columns = [] if dialect != "quoted" else ["time=1:s", "displacement=2:mm", "force=3:kN"]
    change = measured.new_scheme(
        opened.project, "RS-02", path, "M", "-11 kN", "11 kN", LAB, columns=columns, fixture_compliance=9e-7,
        fixture_source="blank",
    )  # fmt: skip
    opened.record(change)
    take(opened, [f"P-1={path}"], scheme="RS-02")
    opened.record(evaluate_items(opened.project, ["E-001"], LAB))
    value = opened.project.get("E-001").result.value("specimen:P-1")
    assert value.value == pytest.approx(TRUE["P-1"], rel=TOLERANCE) and value.unit == "N/mm"


def test_parts_are_found_by_the_names_of_files(opened, files):
    take(opened, [str(path) for path in files.values()], scheme="RS-01")
    item = opened.project.get("E-001")
    assert item.scheme == "RS-01"
    assert [(s.specimen, s.run, s.file_name) for s in item.samples] == [(n, 1, p.name) for n, p in files.items()]
    opened.record(evaluate_items(opened.project, ["E-001"], LAB))
    result = opened.project.get("E-001").result
    mean = (TRUE["P-1"] + TRUE["P-2"]) / 2
    assert result.value("variant").value == pytest.approx(mean, rel=TOLERANCE)
    assert result.value("reference").value == pytest.approx(TRUE["P-3"], rel=TOLERANCE)
    assert result.value("n_variant").value == 2


@pytest.mark.parametrize(("name", "told"), [("P-2 and P-1.csv", "names P-1 and P-2"), ("curve.csv", "names no specimen"),
                                            ("P-201.csv", "names no specimen")])  # fmt: skip
def test_a_name_that_does_not_decide_is_refused(opened, tmp_path, name, told):
    path = curve(tmp_path / name, 55000.0)
    with pytest.raises(Refusal, match=f"{told}.*write SPECIMEN=FILE.*Nothing was imported"):
        take(opened, [str(path)], scheme="RS-01")


def test_a_file_of_another_part_in_another_item_is_refused(opened, files):
    take(opened, [f"P-1={files['P-1']}"], scheme="RS-01")
    opened.record(measured.set_state(opened.project, "E-002", "running", LAB, "2026-03-02"))
    stored = raw_names(opened)
    with pytest.raises(Refusal, match="imported already for P-1 in E-001"):
        take(opened, [f"P-2={files['P-1']}"], "E-002", "RS-01")
    with pytest.raises(Refusal, match="imported already for P-1 in E-001"):
        take(opened, [f"P-1={files['P-1']}"])
    with pytest.raises(Refusal, match="imported already for P-1 in E-002"):
        take(opened, [f"P-1={files['P-2']}", f"P-2={files['P-2']}"], "E-002", "RS-01")
    assert raw_names(opened) == stored
    take(opened, [f"P-1={files['P-1']}"], "E-002", "RS-01")
    assert raw_names(opened) == stored, "the same part's record serves another item too, stored once"


def test_a_planned_item_must_begin_and_an_aborted_one_stays(opened, files):
    with pytest.raises(Refusal, match="E-002 is planned; say first when it began"):
        take(opened, [f"P-1={files['P-1']}"], "E-002", "RS-01")
    with pytest.raises(Refusal, match=r"E-003 is aborted \(power cut\); plan a new test"):
        take(opened, [f"P-1={files['P-1']}"], "E-003", "RS-01")
    assert raw_names(opened) == set()


def _cell(data: bytes, row: int, column: int, text: bytes) -> bytes:
    """The file with another text in one field of the row counted from its end."""
    lines = data.split(b"\n")
    fields = lines[-row].split(b",")
    fields[column] = text
    lines[-row] = b",".join(fields)
    return b"\n".join(lines)


def _saturated(data: bytes) -> bytes:
    """No load above nine tenths of the largest."""
    heading, rows = data.split(b"\n")[:3], [line.split(b",") for line in data.split(b"\n")[3:-1]]
    limit = 0.9 * max(float(row[2]) for row in rows)
    held = [b",".join((*row[:2], b"%.4f" % min(float(row[2]), limit))) for row in rows]
    return b"\n".join((*heading, *held, b""))


SPOILED = {
    "gap": (lambda data: _cell(data, 300, 2, b"NaN"), r"bad P-2.csv line \d+ column 3 \"Force\": no value"),
    "packed": (compress, r"bad P-2.csv is packed \(gzip\)"),
    "two marks": (lambda data: _cell(data, 300, 2, b"1.234,5"), "bad P-2.csv line .*4 fields"),
    "standing time": (lambda data: _cell(data, 300, 0, data.split(b"\n")[-301].split(b",")[0]), "bad P-2.csv: time stands still"),
    "saturated": (_saturated, "bad P-2.csv .*the load stays at its largest value"),
    "long line": (lambda data: _cell(data, 300, 2, b"1" * 1_000_000), "bad P-2.csv line .*larger than any number"),
    "wide, cut": (lambda data: data.decode("utf-8-sig").encode("utf-16")[:-9], "bad P-2.csv line .*the file was cut off"),
}


@pytest.mark.parametrize("spoil", SPOILED)
def test_a_spoiled_file_is_named_with_its_reason_and_nothing_is_taken(opened, files, tmp_path, spoil):
    change, told = SPOILED[spoil]
    bad = tmp_path / "bad P-2.csv"
    bad.write_bytes(change(files["P-2"].read_bytes()))
    before = small.bytes_of(opened.folder.root)
    with pytest.raises(Refusal, match=f"{told}.*Nothing was imported"):
        take(opened, [f"P-1={files['P-1']}", f"P-2={bad}"], scheme="RS-01")
    assert small.bytes_of(opened.folder.root) == before


@pytest.mark.parametrize("spoil", ["missing", "text", "truncated", "other columns", "foreign specimen", "folder"])
def test_one_bad_file_leaves_everything_as_it_was(opened, files, tmp_path, spoil):
    bad = tmp_path / "bad P-2.csv"
    part = "P-2"
    if spoil == "text":
        bad.write_bytes(b"\x00\x01 no table \xff" * 90)
    elif spoil == "truncated":
        data = files["P-2"].read_bytes()
        bad.write_bytes(data[: len(data) // 2].rsplit(b",", 1)[0])
    elif spoil == "other columns":
        curve(bad, 55000.0, DIALECTS["wide"])
    elif spoil == "foreign specimen":
        bad, part = files["P-2"], "P-99"
    elif spoil == "folder":
        bad.mkdir()
    before = small.bytes_of(opened.folder.root)
    with pytest.raises(Refusal):
        take(opened, [f"P-1={files['P-1']}", f"{part}={bad}"], scheme="RS-01")
    assert small.bytes_of(opened.folder.root) == before
    arguments = ["import-curves", str(opened.folder.root), "E-001", f"P-1={files['P-1']}", f"{part}={bad}", "--scheme", "RS-01"]
    assert main(arguments) == 1
    assert small.bytes_of(opened.folder.root) == before


def test_a_preview_records_nothing(opened, files, capsys):
    before = small.bytes_of(opened.folder.root)
    assert main(["import-curves", str(opened.folder.root), "E-001", str(files["P-1"]), "--scheme", "RS-01", "--preview"]) == 0
    out = capsys.readouterr().out
    assert "P-1: radial P-1.csv" in out and "526 points" in out and "force -12.42 .. 12.35 kN" in out
    assert small.bytes_of(opened.folder.root) == before


@pytest.mark.parametrize(
    "name",
    ["=cmd|' P-1.csv", "P-1 [red]x[-red].csv", "P-1 ünï \u202e txt.csv", "-P-1 --person.csv", "a=b P-1.CSV"],
)
def test_names_of_files_are_text_and_never_places(opened, tmp_path, name, capsys):
    path = curve(tmp_path / name, 55000.0)
    arguments = ["import-curves", str(opened.folder.root), "E-001", f"P-1={path}", "--scheme", "RS-01", "--person", LAB]
    assert main(arguments) == 0
    assert "\u202e" not in capsys.readouterr().out
    sample = small.reopen(opened.folder.root).project.get("E-001").samples[0]
    assert sample.file_name == name
    stored = raw_names(opened)
    assert stored == {f"{sample.file}.csv"}


def test_a_repetition_is_kept_and_does_not_count(opened, files, tmp_path):
    take(opened, [str(path) for path in files.values()], scheme="RS-01")
    opened.record(evaluate_items(opened.project, ["E-001"], LAB))
    first = opened.project.get("E-001").result.value("variant").value
    again = curve(tmp_path / "again P-1.csv", 80000.0, seed=9)
    take(opened, [str(again)])
    assert opened.view.evidence_freshness["E-001"].state == "current"
    assert [s.run for s in opened.project.get("E-001").samples if s.specimen == "P-1"] == [1, 2]
    with pytest.raises(Refusal, match="scheme = RS-01, not RS-09"):
        take(opened, [str(again)], scheme="RS-09")
    place = next(n for n, s in enumerate(opened.project.get("E-001").samples) if (s.specimen, s.run) == ("P-1", 1))
    opened.record(set_field(opened.project, "E-001", f"samples.{place}.left_out", "loose grip, seen at once", LAB))
    assert opened.view.evidence_freshness["E-001"].state == "outdated"
    opened.record(evaluate_items(opened.project, ["E-001"], LAB))
    assert opened.project.get("E-001").result.value("variant").value > 1.15 * first


def test_a_missing_or_altered_raw_file_is_not_reproduced(opened, files):
    from dossier.actions.evaluate import raw_files_of

    take(opened, [str(path) for path in files.values()], scheme="RS-01")
    opened.record(evaluate_items(opened.project, ["E-001"], LAB))
    paths = raw_files_of(opened.folder.root)
    assert recompute_item(opened.project.get("E-001"), paths).state == "reproduced"
    path = paths(opened.project.get("E-001").samples[0].file)
    data = path.read_bytes()
    path.chmod(0o644)
    lines = data.splitlines(keepends=True)
    path.write_bytes(b"".join(line.replace(b",1", b",2", 1) if n % 2 else line for n, line in enumerate(lines)))
    altered = recompute_item(opened.project.get("E-001"), paths)
    assert altered.state == "differs" and altered.differences
    path.unlink()
    assert "is missing; restore it" in recompute_item(opened.project.get("E-001"), paths).differences[0]


def test_the_day_of_a_state_is_a_day_that_has_come(opened):
    state = partial(measured.set_state, opened.project, "E-002", author=LAB, today=date(2026, 3, 2))
    with pytest.raises(Refusal, match='on = "tomorrow" is no day; write it as 2026-03-02'):
        state(state="running", on="tomorrow")
    with pytest.raises(Refusal, match="on = 2026-03-03 lies after today, 2026-03-02"):
        state(state="running", on="2026-03-03")


def test_what_is_finished_goes_on_for_a_reason_only(opened):
    today = {"today": date(2026, 3, 2)}
    opened.record(measured.set_state(opened.project, "E-002", "finished", LAB, "2026-03-01", **today))
    with pytest.raises(Refusal, match="E-002 is finished already"):
        measured.set_state(opened.project, "E-002", "finished", LAB, "2026-03-02", **today)
    with pytest.raises(Refusal, match="E-002 is finished; say by a reason why it goes on"):
        measured.set_state(opened.project, "E-002", "running", LAB, **today)
    with pytest.raises(Refusal, match="on = 2026-03-02: E-002.started_on = 2026-03-01 already; set that field"):
        measured.set_state(opened.project, "E-002", "running", LAB, "2026-03-02", "two more parts", **today)
    opened.record(measured.set_state(opened.project, "E-002", "running", LAB, reason="two more parts", **today))
    item = opened.project.get("E-002")
    assert (item.state, item.done_on) == ("running", None)
    assert "gone on with on 2026-03-02: two more parts" in item.deviations


def test_a_pattern_takes_all_files_by_their_names_or_none(opened, files, tmp_path):
    pattern = str(tmp_path / "radial *.csv")
    arguments = ["import-curves", str(opened.folder.root), "E-001", pattern, "--scheme", "RS-01", "--person", LAB]
    foreign = curve(tmp_path / "radial unknown.csv", 55000.0)
    before = small.bytes_of(opened.folder.root)
    assert main(arguments) == 1
    assert small.bytes_of(opened.folder.root) == before
    foreign.unlink()
    again = curve(tmp_path / "radial second P-1.csv", 55000.0, seed=8)
    with pytest.raises(Refusal, match="P-1 is named by radial P-1.csv, radial second P-1.csv"):
        take(opened, [pattern], scheme="RS-01")
    again.unlink()
    with pytest.raises(Refusal, match="no file is called"):
        take(opened, [str(tmp_path / "axial *.csv")], scheme="RS-01")
    assert main(arguments) == 0
    assert [s.specimen for s in small.reopen(opened.folder.root).project.get("E-001").samples] == ["P-1", "P-2", "P-3"]


def test_a_size_that_asks_for_its_unit_is_confirmed_or_left(opened, tmp_path, capsys):
    """A file in kN whose heading says N."""
    path = curve(tmp_path / "P-1.csv", 55000.0, ENGLISH)
    path.write_bytes(path.read_bytes().replace(b"[kN]", b"[N]"))
    opened.record(measured.new_scheme(opened.project, "RS-03", path, "M", "-11 kN", "11 kN", LAB))
    arguments = ["import-curves", str(opened.folder.root), "E-001", str(path), "--scheme", "RS-03", "--person", LAB]
    before = small.bytes_of(opened.folder.root)
    assert main(arguments) == 1
    asked = capsys.readouterr().out
    assert "to confirm: P-1.csv (P-1): load is about 12.2, expected about 1.1e+04; 1000 times too small" in asked
    assert small.bytes_of(opened.folder.root) == before
    with pytest.raises(Refusal, match="1000 times too small.*Nothing was imported"):
        take(opened, [str(path)], scheme="RS-03")
    change = measured.import_curves(opened.project, "E-001", [str(path)], LAB, "RS-03", confirmed=True)
    assert "\nconfirmed: P-1.csv (P-1): load is about 12.2" in change.message
    assert main([*arguments, "--confirm"]) == 0


def test_saved_schemes_that_fit_are_offered(opened, files, tmp_path):
    put_scheme(opened, "RS-04", curve(tmp_path / "other.txt", 55000.0, DIALECTS["german"]))
    with pytest.raises(Refusal, match=r"E-001.scheme is empty.*read by --scheme RS-01 \(Machine\)\. Nothing"):
        take(opened, [str(files["P-1"])])


def test_a_stopped_import_leaves_nothing(opened, files):
    before = small.bytes_of(opened.folder.root)
    told: list[tuple[float, int]] = []
    pairs = [str(path) for path in files.values()]
    with pytest.raises(Cancelled):
        measured.import_curves(opened.project, "E-001", pairs, LAB, "RS-01", cancel=lambda: bool(told),
                               progress=lambda *far: told.append(far))  # fmt: skip
    assert len(told) == 1 and 0 < told[0][0] < 1 and told[0][1] > 0
    assert small.bytes_of(opened.folder.root) == before


def test_looking_at_a_file_asks_about_its_size_and_the_ends_of_its_range(tmp_path, capsys):
    whole = curve(tmp_path / "P-1.csv", 55000.0, ENGLISH)
    assert main(["look", str(whole)]) == 0
    assert "to ask" not in capsys.readouterr().out
    named = tmp_path / "named.csv"
    named.write_bytes(whole.read_bytes().replace(b"[kN]", b"[N]"))
    assert main(["look", str(named)]) == 0
    assert "to ask: stiffness is about 54" in capsys.readouterr().out
    record = shown(ideal(55000.0), RIG, 1)
    clipped = write(tmp_path / "clipped.csv", ENGLISH, record.time, record.travel, np.clip(record.load, -9000.0, 9000.0))
    assert main(["look", "--json", str(clipped)]) == 0
    asked = json.loads(capsys.readouterr().out)["questions"]
    assert any("the load stays at its largest value 9000" in text for text in asked)
