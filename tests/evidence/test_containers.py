"""Workbooks, TDMS and MAT files give the same curve as text; damaged ones and missing readers are told in words."""

from __future__ import annotations

import builtins
import datetime
import zipfile

import numpy as np
import pytest

from dossier.evidence.errors import UnreadableFile
from dossier.evidence.open_table import open_table
from dossier.evidence.reading import ReadingScheme, read_curve
from dossier.evidence.sniff import sniff

ROWS = 400
TIME = np.arange(ROWS) / 50
TRAVEL = 0.2 * np.sin(TIME)
FORCE = 11.0 * np.sin(TIME + 0.1) + np.pi / 1e7


def workbook(path, **extra):
    from openpyxl import Workbook

    book = Workbook()
    notes = book.active
    notes.title = "Report"
    notes.append(["Machine", "M-3"])
    notes.append(["Date", datetime.datetime(2026, 9, 28, 10, 14)])
    sheet = book.create_sheet("Data")
    sheet.append(["Radial stiffness", None, None])
    sheet.append([])
    sheet.append(["Time", "Displacement", "Force"])
    sheet.append(["s", "mm", "kN"])
    for row in zip(TIME.tolist(), TRAVEL.tolist(), FORCE.tolist(), strict=True):
        sheet.append(row)
    for title in extra.get("empty", ()):
        book.create_sheet(title)
    book.save(path)


def tdms(path):
    from nptdms import ChannelObject, TdmsWriter

    given = {"wf_increment": 0.02, "wf_start_offset": 0.0}
    with TdmsWriter(path) as writer:
        writer.write_segment([
            ChannelObject("Test", "Displacement", TRAVEL, {**given, "unit_string": "mm"}),
            ChannelObject("Test", "Force", FORCE, {**given, "unit_string": "kN"}),
            ChannelObject("Other", "Room", np.array([23.0, 23.1]), {"unit_string": "°C"}),
        ])  # fmt: skip


def mat(path):
    from scipy.io import savemat

    savemat(path, {"time_s": TIME, "displacement_mm": TRAVEL, "force_kN": FORCE, "rate": 10.0, "note": "radial"})


def mat_structure(path):
    from scipy.io import savemat

    savemat(path, {"test": {"time_s": TIME, "displacement_mm": TRAVEL, "force_kN": FORCE, "room": np.array([23.0, 24.0])}})


def mat_hdf(path):
    import h5py

    with h5py.File(path, "w", userblock_size=512) as file:
        for title, unit, values in (("time", "s", TIME), ("displacement", "mm", TRAVEL), ("force", "kN", FORCE)):
            file.create_dataset(title, data=values.reshape(1, -1)).attrs["unit"] = unit
    with path.open("r+b") as file:
        file.write(b"MATLAB 7.3 MAT-file, Platform: GLNXA64".ljust(124) + b"\x00\x02IM")


WRITERS = {"book.xlsx": workbook, "record.tdms": tdms, "record.mat": mat, "structure.mat": mat_structure, "new.mat": mat_hdf}


@pytest.mark.parametrize("name", sorted(WRITERS))
def test_every_number_comes_out_as_it_went_in(tmp_path, name):
    path = tmp_path / name
    WRITERS[name](path)
    curve = open_table(path)
    # 1e-15: a workbook's writer keeps 16 digits
    np.testing.assert_allclose(curve.channel("displacement"), TRAVEL, rtol=1e-15, atol=1e-18)
    np.testing.assert_allclose(curve.channel("force"), FORCE * 1e3, rtol=2e-15)
    np.testing.assert_allclose(curve.channel("time"), TIME, atol=1e-12)
    assert curve.problems == ()


@pytest.mark.parametrize("name", sorted(WRITERS))
def test_a_saved_reading_scheme_reads_them_again(tmp_path, name):
    path = tmp_path / name
    WRITERS[name](path)
    form = sniff(path)
    assert (form.rows, form.confidence) == (ROWS, "certain")
    scheme = ReadingScheme.from_dict(ReadingScheme.from_form(form).to_dict())
    np.testing.assert_allclose(read_curve(path, scheme).channel("displacement"), TRAVEL, rtol=1e-15, atol=1e-18)


@pytest.mark.parametrize("name", sorted(WRITERS))
def test_damaged_containers_are_refused_in_words(tmp_path, name):
    path = tmp_path / name
    WRITERS[name](path)
    whole = path.read_bytes()
    for kept in (600, len(whole) // 2):
        path.write_bytes(whole[:kept])
        with pytest.raises(UnreadableFile, match=name):
            open_table(path)


@pytest.mark.parametrize(
    ("name", "module", "told"),
    [
        ("book.xlsx", "openpyxl", r"joint-dossier\[xlsx\]"), ("record.tdms", "nptdms", "LGPL"),
        ("new.mat", "h5py", r"joint-dossier\[mat\]"),
    ],
)
def test_a_reader_that_is_not_installed_is_named_with_the_remedy(tmp_path, monkeypatch, name, module, told):
    path = tmp_path / name
    WRITERS[name](path)
    usual = builtins.__import__

    def without(wanted, *rest, **more):
        if wanted.split(".")[0] == module:
            raise ImportError(f"No module named {module}")
        return usual(wanted, *rest, **more)

    monkeypatch.setattr(builtins, "__import__", without)
    with pytest.raises(UnreadableFile, match=told):
        open_table(path)


def test_an_archive_that_is_no_workbook_is_refused(tmp_path):
    path = tmp_path / "files.zip"
    with zipfile.ZipFile(path, "w") as packed:
        packed.writestr("a.csv", "1;2\n3;4\n")
    with pytest.raises(UnreadableFile, match="packed archive"):
        open_table(path)


def test_a_workbook_without_numbers_is_refused(tmp_path):
    from openpyxl import Workbook

    path = tmp_path / "words.xlsx"
    book = Workbook()
    book.active.append(["only", "words"])
    book.save(path)
    with pytest.raises(UnreadableFile, match="no sheet among Sheet"):
        open_table(path)


def test_a_workbook_named_csv_is_read_as_what_it_is(tmp_path):
    path = tmp_path / "export.csv"
    workbook(tmp_path / "book.xlsx", empty=("Empty",))
    path.write_bytes((tmp_path / "book.xlsx").read_bytes())
    assert open_table(path).rows == ROWS
