"""The package stays light and apart: no scipy at import, nothing of the upper layers."""

import subprocess
import sys

PROBE = """
import sys, pkgutil, importlib, dossier.evidence
for module in pkgutil.iter_modules(dossier.evidence.__path__):
    importlib.import_module("dossier.evidence." + module.name)
print(" ".join(sorted(sys.modules)))
"""


def test_importing_the_package_loads_neither_scipy_nor_other_layers():
    loaded = subprocess.run([sys.executable, "-c", PROBE], capture_output=True, text=True, check=True).stdout.split()
    assert "dossier.evidence.reading" in loaded
    foreign = {"scipy", "pydantic", "textual", "reportlab", "dulwich"} & set(loaded)
    layers = {name for name in loaded if name.startswith("dossier.") and not name.startswith("dossier.evidence")}
    assert foreign == set()
    assert layers <= {"dossier.units", "dossier.data"}
