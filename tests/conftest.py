"""Workers and order of the tests; the program is loaded first, which leaves linear algebra one thread.

Reading TOML takes a tenth of the time of the tests, nearly always of the same bytes: a test process reads them once.
"""

import os
import pickle

import pytest

from dossier.store import tomlfile


def _reading_once(parse):
    known = {}

    def once(raw, name):
        if raw not in known:
            known[raw] = pickle.dumps(parse(raw, name))
        return pickle.loads(known[raw])

    return once


tomlfile.parse_document = _reading_once(tomlfile.parse_document)


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_auto_num_workers():
    """One more than cores: a third of the time of the tests that drive the sheets is waiting."""
    return len(os.sched_getaffinity(0)) + 1 if hasattr(os, "sched_getaffinity") else (os.cpu_count() or 1) + 1


def pytest_collection_modifyitems(items):
    """The longest tests first, so that no worker is left alone with one at the end."""
    items.sort(key=lambda item: "whole_path" not in item.nodeid)


@pytest.fixture(scope="session")
def known_runs():
    """Outcomes by method and digest of the input."""
    return {}


@pytest.fixture
def remembered_runs(known_runs, monkeypatch):
    """Each method runs once for an input in a test process: for tests of what surrounds the runs, never of recomputation."""
    from dossier.methods.registry import all_methods
    from dossier.store.digest import sha256_of_document

    def remembering(run):
        def once(self, given):
            key = self.id, sha256_of_document(given.model_dump())
            if key not in known_runs:
                known_runs[key] = run(self, given)
            return known_runs[key]

        return once

    for kind in {type(method) for method in all_methods().values()}:
        monkeypatch.setattr(kind, "run", remembering(kind.run))
