"""A reading scheme takes the fixture's compliance from the file of a blank test."""

from __future__ import annotations

import numpy as np
import pytest

from dossier.actions.blank_test import compliance_of_blank
from dossier.actions.refusal import Refusal
from dossier.cli import main
from tests.evidence.dialects import ENGLISH, write
from tests.evidence_records import test_import as base

opened, files = base.opened, base.files


def blank(path, compliance=1.2e-6, noise=1e-5):
    """Three cycles to ±11 kN on a steel dummy."""
    phase = np.linspace(0, 3, 1500)
    load = 11_000 * np.sin(2 * np.pi * phase)
    travel = compliance * load + noise * np.random.default_rng(4).standard_normal(1500)
    return write(path, ENGLISH, phase * 20, travel, load)


def test_the_compliance_of_the_file_is_the_scheme_s(opened, files, tmp_path, capsys):
    path = blank(tmp_path / "blank.csv")
    arguments = ["scheme", str(opened.folder.root), "RS-09", str(files["P-1"]), "--title", "M", "--low", "-11 kN", "--high",
                 "11 kN", "--person", base.LAB, "--blank", str(path)]  # fmt: skip
    assert main([*arguments, "--fixture-compliance", "1e-6"]) == 1
    assert "give one of the two" in capsys.readouterr().err
    assert main(arguments) == 0
    from dossier.actions.opened import Opened

    scheme = Opened(opened.folder.root).project.get("RS-09")
    assert scheme.fixture_compliance == pytest.approx(1.2e-6, rel=2e-3)
    assert scheme.fixture_source.startswith("blank test blank.csv: 1.2e-06 ± ")
    assert "mm/N (standard, " in scheme.fixture_source


def test_a_turned_channel_is_refused(tmp_path):
    with pytest.raises(Refusal, match="blank test blank.csv: the fixture gives way by -"):
        compliance_of_blank(blank(tmp_path / "blank.csv", compliance=-1.2e-6))
