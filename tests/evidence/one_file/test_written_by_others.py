"""Tables and curves written in ways seen at other machines: two heading rows, a block of notes, other words, other units."""

import numpy as np
import pytest

from dossier.evidence import RefusedFile, evaluate_file
from dossier.evidence.open_table import open_table

ROWS = (91422, 120655, 155310, 201877, 260003, 300000)
ENDED = (True, True, True, True, False, False)


def _written(folder, text, name="E-031.csv"):
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def _lives(head, yes, no, delimiter=";", form="{}", above="", below=""):
    rows = [delimiter.join((form.format(life), yes if ended else no)) for life, ended in zip(ROWS, ENDED, strict=True)]
    return above + "\n".join([head.replace(";", delimiter), *rows]) + "\n" + below


LIVES = {
    "notes above in as many fields": _lives("Cycles;Result", "failure", "censored", above="Rig;R2\nPlace;23.1 °C\n\n"),
    "a column whose name says failure": _lives("Cycles to failure;Event", "F", "S"),
    "an empty row of units": _lives("Cycles;Failed\n;", "yes", "no"),
    "bars": _lives("Cycles;Failed", "1", "0", delimiter="|"),
    "thousands and a decimal point": _lives("Cycles;Failed", "yes", "no", form="{:,}.000"),
    "German": _lives("Schwingspiele;Status", "Ausfall", "Durchläufer"),
    "French": _lives("Durée de vie;Rupture", "oui", "non", above="Essai: fatigue\n\n"),
    "French words": _lives("Nombre de cycles;Statut", "rupture", "non rompu"),
    "names behind a comment mark": _lives("# Cycles;Failed", "yes", "no", above="# endurance\n"),
    "a summary behind a blank line": _lives("Cycles;Failed;Rig", "yes;A", "no;A", below="\nMean;190 000\n"),
}


@pytest.mark.parametrize("written", LIVES)
def test_lives_are_read_as_written(tmp_path, written):
    plain = evaluate_file(_written(tmp_path, _lives("cycles;failed", "yes", "no"), "plain.csv"), kind="life")
    found = evaluate_file(_written(tmp_path, LIVES[written]), kind="life")
    assert (found["failures"], found["censored"]) == (4, 2)
    assert found["weibull_shape"] == pytest.approx(plain["weibull_shape"], rel=1e-9)
    assert found["weibull_scale"] == pytest.approx(plain["weibull_scale"], rel=1e-9)


def _course(head, row, number=60):
    """A stiffness that falls straight by 30 % over 600 000 cycles: 20 % at 400 000 behind the first row."""
    cycles = np.linspace(10_000, 600_000, number)
    return head + "".join(row(cycle, 1 - 0.3 * cycle / 600_000) + "\n" for cycle in cycles)


COURSES = {
    "exponents": _course("Cycles;Stiffness [kN/mm]\n", lambda n, k: f"{n:.6e};{52 * k:.6e}"),
    "bars": _course("Zyklus|Steifigkeit [kN/mm]\n", lambda n, k: f"{n:.0f}|{52 * k:.6f}"),
    "units in a row of their own": _course("Zyklus;Kraftamplitude;Wegamplitude\n;[N];[mm]\n",
                                           lambda n, k: f"{n:.0f};{10400 * k:.4f};0.2"),
    "French ends": _course("Nombre de cycles;Force max [kN];Force min [kN];Déplacement max [mm];Déplacement min [mm]\n",
                           lambda n, k: f"{n:.0f};{10.4 * k:.6f};{-10.4 * k:.6f};0.2;-0.2"),
    "a compound unit behind in": _course("Lastwechsel;Steifigkeit in kN/mm\n", lambda n, k: f"{n:.0f};{52 * k:.6f}"),
    "a unit of the machine": _course("Cycles;Force amplitude [daN];Displacement amplitude [mm]\n",
                                     lambda n, k: f"{n:.0f};{1040 * k:.6f};0.2"),
}  # fmt: skip


@pytest.mark.parametrize("written", COURSES)
def test_the_course_over_cycles_is_read_as_written(tmp_path, written):
    found = evaluate_file(
        _written(tmp_path, COURSES[written]), kind="durability", loss=0.2, reference_cycles=10_000, force_unit="kN"
    )
    assert found["life"] == pytest.approx(10_000 + 0.2 * 0.995 / 0.3 * 600_000, rel=0.02)
    assert found["reference_stiffness"] == pytest.approx(52 * 0.995, rel=0.01)


def test_groups_in_french_columns(tmp_path):
    text = "référence [kN/mm]\tvariante [kN/mm]\n" + "".join(f"{56 + at / 10}\t{57 - at / 10}\n" for at in range(6))
    assert evaluate_file(_written(tmp_path, text), kind="equivalence", margin=0.1)["equivalent"] is True


def _triangle(count=600):
    phase = np.arange(count) / 100 % 1
    return np.where(phase < 0.25, 4 * phase, np.where(phase < 0.75, 2 - 4 * phase, 4 * phase - 4))


def test_units_of_the_machine_may_be_asked_for(tmp_path):
    text = "Displacement [mm],Force [lbf]\n" + "".join(f"{x:.6f},{2000 * x:.4f}\n" for x in _triangle())
    found = evaluate_file(_written(tmp_path, text), kind="static", force_unit="lbf", displacement_unit="in")
    assert found["stiffness"] == pytest.approx(2000 * 25.4, rel=1e-3)
    with pytest.raises(RefusedFile, match="furlong.*expected units of force and displacement such as"):
        evaluate_file(_written(tmp_path, text), kind="static", displacement_unit="furlong")


@pytest.mark.parametrize("head", ["Load cell_lbf", "Axial load cell, lbf", "Load cell 2 lbf"])
def test_a_unit_behind_a_name_of_several_words(tmp_path, head):
    text = f"s_mm;{head}\n" + "".join(f"{x:.6f};{2000 * x:.4f}\n" for x in _triangle())
    assert open_table(_written(tmp_path, text)).channels["force"].max() == pytest.approx(2000 * 4.4482216, rel=1e-6)


@pytest.mark.parametrize("head", ["Displacement [furlong]", "Displacement (furlong)", "Displacement / yd", "Displacement [ell]"])
def test_a_unit_that_is_not_accepted_is_not_taken_for_millimetres(tmp_path, head):
    text = f"{head};Force [kN]\n" + "".join(f"{x:.6f};{2 * x:.4f}\n" for x in _triangle())
    with pytest.raises(RefusedFile, match="expected a unit of displacement such as mm"):
        evaluate_file(_written(tmp_path, text), kind="static")


@pytest.mark.parametrize(("above", "end"), [("Weg\tKraft\t\n\tkN\t\n", "\t"), ("# Weg\tKraft\n# \tkN\n", "")])
def test_a_row_of_units_with_an_empty_first_field(tmp_path, above, end):
    """Tabs that close each row, and a comment mark before a unit row whose first field is empty."""
    curve = open_table(_written(tmp_path, above + "".join(f"{x:.5f}\t{x * 11:.5f}{end}\n" for x in _triangle())))
    assert curve.channels["force"].max() == pytest.approx(11_000)


def test_one_column_beside_the_time_of_day(tmp_path):
    text = "Time;Force [kN]\n" + "".join(f"09:58:{at / 20:09.6f};{x * 12:.5f}\n" for at, x in enumerate(_triangle()))
    found = evaluate_file(_written(tmp_path, text), kind="load_history", force_unit="kN", sn_range=20, sn_cycles=1e6, exponents=5)
    assert found["rows"] == 600
    assert found["largest_range"] == pytest.approx(24)


def test_quoted_fields_between_blanks(tmp_path):
    text = '"Displacement" "Force"\n"mm" "kN"\n' + "".join(f'"{x:.5f}" "{x * 11:.5f}"\n' for x in _triangle())
    assert open_table(_written(tmp_path, text)).channels["force"].max() == pytest.approx(11_000)


def test_thousands_that_begin_late_in_the_file(tmp_path):
    """The first grouped number stands behind all lines from which the form of the file was told."""
    loads = [2.0 * at for at in range(1200)]
    text = "Weg [mm];Kraft [N]\n" + "".join(
        f"{at / 1000:.3f};".replace(".", ",") + f"{load:,.2f}".translate(str.maketrans(",.", ".,")) + "\n"
        for at, load in enumerate(loads)
    )
    assert open_table(_written(tmp_path, text)).channels["force"] == pytest.approx(loads)


def test_a_workbook_of_specimens_with_text_beside_one_number(tmp_path):
    openpyxl = pytest.importorskip("openpyxl")
    book = openpyxl.Workbook()
    book.active.append(["Operator", "A. Person"])
    sheet = book.create_sheet("Lives")
    sheet.append(("Specimen", "Cycles", "Status"))
    for life, ended in zip(ROWS, ENDED, strict=True):
        sheet.append((f"V-{life}", float(life), "failed" if ended else "run-out"))
    book.save(tmp_path / "lives.xlsx")
    assert evaluate_file(tmp_path / "lives.xlsx", kind="life")["censored"] == 2


def _pushed_out(count):
    way = np.linspace(0, 43, count)
    return way, 20_000 * (1 - np.exp(-way * 4)) * (0.85 + 0.3 * np.exp(-way / 3))


def test_few_rows_pushed_towards_the_negative(tmp_path):
    """A steep rise within the first three rows tells the sense of the load no less than a slow one."""
    way, load = _pushed_out(60)
    text = "Weg [mm];Kraft [N]\n" + "".join(f"{-x:.4f};{-f:.2f}\n" for x, f in zip(way, load, strict=True))
    found = evaluate_file(_written(tmp_path, text), kind="press", operation="push_out")
    assert found["peak_force"] == pytest.approx(load.max(), rel=0.01)


def test_a_press_curve_whose_travel_stands_is_refused(tmp_path):
    text = "Weg [mm];Kraft [N]\n" + "".join(f"0.5;{load}\n" for load in range(60))
    with pytest.raises(RefusedFile, match="the travel stands still at 0.5"):
        evaluate_file(_written(tmp_path, text), kind="press", operation="press_in")


@pytest.mark.parametrize("teeth", [0, 12])
def test_scoring_within_noise_of_one_per_cent(tmp_path, teeth):
    """Teeth of 9 % of the peak on a root law, noise 1 %: found; without teeth none."""
    way = np.linspace(0, 30, 400)
    load = 1e4 * np.sqrt(way / 30) + 900 * ((way / 30 * teeth) % 1) + 100 * np.random.default_rng(4).standard_normal(400)
    text = "s [mm];F [N]\n" + "".join(f"{x:.4f};{f:.2f}\n" for x, f in zip(way, load, strict=True))
    assert evaluate_file(_written(tmp_path, text), kind="press", operation="press_in")["scored"] is bool(teeth)


@pytest.mark.parametrize("seed", range(4))
def test_the_secant_of_a_noisy_load_is_not_that_of_its_noise(tmp_path, seed):
    """Noise of 2 % of the peak load: the rows whose load happens to be near a level are not those near its travel."""
    random = np.random.default_rng(seed)
    way = np.sin(2 * np.pi * np.arange(1001) / 200)
    load = 11 * way + 0.8 * np.cos(2 * np.pi * np.arange(1001) / 200) + 0.22 * random.standard_normal(1001)
    text = "Displacement [mm];Force [kN]\n" + "".join(f"{0.2 * x:.6f};{f:.5f}\n" for x, f in zip(way, load, strict=True))
    found = evaluate_file(_written(tmp_path, text), kind="static", force_unit="kN", force_window=(-7, 7))
    angle = np.arctan2(0.8, 11)
    ends = np.sin(np.arcsin(np.array([-7, 7]) / np.hypot(11, 0.8)) - angle)
    assert found["stiffness"] == pytest.approx(14 / (0.2 * (ends[1] - ends[0])), rel=0.015)
