"""Benchmarks; the program is loaded first, which leaves linear algebra one thread."""

import dossier  # noqa: F401
