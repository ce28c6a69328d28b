"""Time and memory of reading large measured files against a general-purpose columnar reader on the same file.

Run it with `python tests/bench/bench_large.py [ROWS]` (default ten million). One run each in a process of its own;
peak memory is that of the process less what it held before reading. Nothing is asserted.
"""

import multiprocessing
import resource
import sys
import tempfile
from pathlib import Path
from time import perf_counter

import numpy as np

ROWS = 10_000_000


def write(path: Path, rows: int) -> Path:
    """Time, travel and load as text with decimal points."""
    with path.open("w") as handle:
        handle.write("time [s],displacement [mm],force [N]\n")
        for start in range(0, rows, 100_000):
            time = (start + np.arange(min(100_000, rows - start))) * 0.001
            travel = 0.2 * np.sin(time)
            np.savetxt(handle, np.stack((time, travel, 56000.0 * travel), axis=1), fmt=("%.3f", "%.6f", "%.2f"), delimiter=",")
    return path


def ours(path: Path) -> None:
    from dossier.evidence.open_table import open_table

    open_table(path)


def columnar(path: Path) -> None:
    import polars

    polars.read_csv(path)


def measured(work, path: Path, answers) -> None:  # noqa: ANN001
    import polars  # noqa: F401

    import dossier.evidence.open_table  # noqa: F401

    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    start = perf_counter()
    work(path)
    seconds = perf_counter() - start
    answers.put((seconds, (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) * 1024))


def main() -> None:
    rows = int(sys.argv[1]) if len(sys.argv) > 1 else ROWS
    context = multiprocessing.get_context("spawn")
    with tempfile.TemporaryDirectory() as folder:
        path = write(Path(folder) / "large.csv", rows)
        found = {}
        for name, work in (("columnar", columnar), ("ours", ours)):
            answers = context.Queue()
            process = context.Process(target=measured, args=(work, path, answers))
            process.start()
            found[name] = answers.get()
            process.join()
    for name, (seconds, held) in found.items():
        times = f"{seconds / found['columnar'][0]:5.2f} × columnar"
        print(f"{name:10} {seconds:6.2f} s  {times}  {held / (rows * 3 * 8):5.2f} × the numbers in memory")


if __name__ == "__main__":
    main()
