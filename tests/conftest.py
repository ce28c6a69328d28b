"""One thread for linear algebra: tests run side by side, and threads of their own would wait for each other."""

import os

for variable in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(variable, "1")


def pytest_collection_modifyitems(items):
    """The longest tests first, so that no worker is left alone with one at the end."""
    items.sort(key=lambda item: "whole_path" not in item.nodeid)
