"""Whatever the file holds, `evaluate_file` answers or refuses; it raises nothing else."""

from __future__ import annotations

import math
import random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from dossier.evidence import RefusedFile, evaluate_file
from dossier.evidence.one_file import KINDS

ASKED = {
    "dynamic": {"moving_mass_kg": 1.0}, "equivalence": {"margin": 0.1}, "press": {"operation": "press_in"},
    "load_history": {"sn_range": 10.0, "sn_cycles": 1e6, "exponents": [5]}, "durability": {"loss": 0.2},
}  # fmt: skip
QUICK = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])


def judged(path, kind):
    """The answer, or None where the file is refused in words."""
    try:
        return evaluate_file(path, kind=kind, **ASKED.get(kind, {}))
    except RefusedFile as error:
        assert len(str(error)) > 10
        return None


@pytest.mark.parametrize("kind", KINDS)
@QUICK
@given(data=st.binary(max_size=400))
def test_bytes(tmp_path, kind, data):
    path = tmp_path / "any.csv"
    path.write_bytes(data)
    judged(path, kind)


cells = st.one_of(
    st.floats(-1e9, 1e9).map(lambda number: f"{number:.6g}"),
    st.sampled_from(["", "nan", "-", "1e400", "yes", "no", "reference", "x"]),
)


@pytest.mark.parametrize("kind", KINDS)
@QUICK
@given(
    head=st.permutations(["group", "cycles", "stiffness", "force [N]", "displacement [mm]", "time [s]", "failed", "batch"]),
    rows=st.lists(st.lists(cells, min_size=8, max_size=8), min_size=0, max_size=12),
    delimiter=st.sampled_from(";\t,"),
)
def test_tables(tmp_path, kind, head, rows, delimiter):
    path = tmp_path / "any.csv"
    path.write_text("\n".join(delimiter.join(row) for row in [head, *rows]), encoding="utf-8")
    judged(path, kind)


def _text(kind):
    """A sound file of each kind."""
    if kind == "equivalence":
        return "group;value;batch\n" + "".join(f"{'reference' if n % 2 else 'variant'};{50 + n / 7:.3f};M1\n" for n in range(12))
    if kind == "life":
        return "no;cycles;failed\n" + "".join(f"{n};{1000 + 37 * n * n};{'no' if n % 5 == 0 else 'yes'}\n" for n in range(1, 15))
    if kind == "durability":
        return "cycles;stiffness [N/mm]\n" + "".join(f"{1000 * n};{50000 - 150 * n}\n" for n in range(100))
    rows = [(n / 100, 0.2 * math.sin(n / 16), 11000 * math.sin(n / 16 + 0.1)) for n in range(500)]
    return "Time [s];Displacement [mm];Force [N]\n" + "".join(f"{t:.2f};{x:.5f};{f:.1f}\n" for t, x, f in rows)


@pytest.mark.parametrize("kind", KINDS)
def test_damaged_files(tmp_path, kind):
    """Bytes lost, doubled, exchanged, lines cut or swapped in a sound file: an answer or a refusal, never a crash."""
    chance = random.Random(f"damage {kind}")
    sound = _text(kind).encode()
    path = tmp_path / "any.csv"
    for _ in range(150):
        data = bytearray(sound)
        for _ in range(chance.randint(1, 4)):
            at = chance.randrange(len(data) + 1)
            how = chance.randrange(5)
            if how == 0:
                del data[at : at + chance.randint(1, 40)]
            elif how == 1:
                data[at:at] = data[at : at + chance.randint(1, 40)]
            elif how == 2:
                data[at : at + 1] = bytes([chance.randrange(256)])
            elif how == 3:
                data = data[: max(1, at)]
            else:
                data[at:at] = chance.choice([b"\x00", b",", b";", b"\n", b"1e308", b"-", b'"', b"\xff\xfe"])
        path.write_bytes(bytes(data))
        judged(path, kind)


@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind != "press"])
def test_sound_files_are_answered(tmp_path, kind):
    path = tmp_path / "any.csv"
    path.write_text(_text(kind))
    assert judged(path, kind)["rows"] > 10
