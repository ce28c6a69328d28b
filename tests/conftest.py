"""The order of the tests; the program is loaded first, which leaves linear algebra one thread."""

import dossier  # noqa: F401


def pytest_collection_modifyitems(items):
    """The longest tests first, so that no worker is left alone with one at the end."""
    items.sort(key=lambda item: "whole_path" not in item.nodeid)
