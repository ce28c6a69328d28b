"""Importing the mechanics costs neither numpy nor scipy; the first use loads them."""

import subprocess
import sys

import pytest

import dossier.mechanics


def test_import_is_light_until_used():
    script = (
        "import sys, dossier.mechanics as m\n"
        "light = not {'numpy', 'scipy'} & set(sys.modules)\n"
        "m.layer_stiffness(20, 30, 0.9, 2.2, 1, 100, cells=(2, 4))\n"
        "print(light, 'scipy' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout.split() == ["True", "True"]


def test_every_public_name_is_there():
    for name in dossier.mechanics.__all__:
        assert getattr(dossier.mechanics, name).__name__ == name
        assert name in dir(dossier.mechanics)


def test_an_unknown_name_is_refused():
    with pytest.raises(AttributeError, match="has no attribute 'stiffness_of_everything'"):
        dossier.mechanics.stiffness_of_everything  # noqa: B018
