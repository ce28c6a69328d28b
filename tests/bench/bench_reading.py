"""Time to sniff and read a measured file of a million rows in each dialect.

Run it with `python -m tests.bench.bench_reading`. Absolute times depend on the machine and its load; the ratio to the
baseline (numpy.loadtxt on the same rows as plain text) can be compared. Best of three runs; nothing is asserted.
"""

import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from time import perf_counter

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))

from dossier.evidence.reading import ReadingScheme, read_curve, sniff  # noqa: E402
from tests.evidence.dialects import DIALECTS, write  # noqa: E402
from tests.evidence.samples import radial  # noqa: E402

ROWS = 1_000_000


def best_time(work: Callable[[], object]) -> float:
    """Shortest of three calls in seconds."""
    times = []
    for _ in range(3):
        start = perf_counter()
        work()
        times.append(perf_counter() - start)
    return min(times)


def main() -> None:
    record = radial()
    time = np.arange(ROWS) * 0.01
    travel, load = np.resize(record.travel, ROWS), np.resize(record.load, ROWS)
    with tempfile.TemporaryDirectory() as folder:
        plain = Path(folder) / "plain.txt"
        np.savetxt(plain, np.stack((time, travel, load), axis=1), fmt=("%.3f", "%.5f", "%.4f"))
        baseline = best_time(lambda: np.loadtxt(plain))
        print(f"{'baseline':10} {baseline:6.2f} s")
        for name, dialect in DIALECTS.items():
            path = write(Path(folder) / name, dialect, time, travel, load)
            scheme = ReadingScheme.from_form(sniff(path))
            sniffing = best_time(lambda path=path: sniff(path))
            reading = best_time(lambda path=path, scheme=scheme: read_curve(path, scheme))
            rate = ROWS / reading / 1e6
            shares = f"{rate:5.2f} M rows/s  {reading / baseline:5.2f} × baseline"
            print(f"{name:10} {reading:6.2f} s  {shares}  sniff {sniffing:.2f} s")


if __name__ == "__main__":
    main()
