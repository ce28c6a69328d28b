"""Time of the release document of the demonstration project as a ratio to a fixed piece of work in the same run.

Run it with `python -m tests.bench.bench_document`. The goal is 5 s for 40 pages. Absolute times depend on the
machine and its load; the ratio to the baseline (SHA-256 of 64 MB) can be compared between machines and
revisions. Nothing is asserted.
"""

import hashlib
import shutil
import tempfile
from collections.abc import Callable
from datetime import date
from pathlib import Path
from statistics import median
from time import perf_counter

from dossier.actions.document import document_bytes
from dossier.actions.opened import Opened

DEMO = Path(__file__).parents[2] / "projects" / "axle-link"
RUNS = 3


def seconds(work: Callable[[], object]) -> float:
    start = perf_counter()
    work()
    return perf_counter() - start


def main() -> None:
    block = bytes(64 * 1024 * 1024)
    baseline = median(seconds(lambda: hashlib.sha256(block).digest()) for _ in range(RUNS))
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder) / "demo"
        shutil.copytree(DEMO, root)
        opened = Opened(root, use_cache=False, today=date(2026, 11, 25))
        pages = document_bytes(opened, "B", released=False)[1]
        time = median(seconds(lambda: document_bytes(opened, "B", released=False)) for _ in range(RUNS))
    print(f"baseline {baseline:.3f} s; {pages} pages in {time:.2f} s = {40 * time / pages:.2f} s for 40 pages")
    print(f"ratio per page to the baseline: {time / pages / baseline:.3f}")


if __name__ == "__main__":
    main()
