"""Time and memory of sniffing and reading measured files against general readers on the same rows.

`python -m tests.bench.bench_reading` reads a million rows in each dialect beside numpy.loadtxt, best of three runs.
`python -m tests.bench.bench_reading ROWS` reads a file of that many rows without a scheme beside the columnar reader
of the extra `big`, in turn three times each, each time in a process of its own; peak memory is that of the process less
what it held before. Absolute times depend on the machine and its load; the ratios of the shortest times can be compared.
Nothing is asserted.
"""

import multiprocessing
import resource
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from time import perf_counter, process_time

import numpy as np

from dossier.evidence.reading import ReadingScheme, read_curve, sniff
from tests.evidence.dialects import DIALECTS, write
from tests.evidence.samples import radial

ROWS = 1_000_000
_ROUNDS = 3


def best_time(work: Callable[[], object]) -> float:
    """Shortest of three calls in seconds."""
    times = []
    for _ in range(3):
        start = perf_counter()
        work()
        times.append(perf_counter() - start)
    return min(times)


def dialects(folder: Path) -> None:
    """A million rows in each dialect by a reading scheme."""
    record = radial()
    time = np.arange(ROWS) * 0.01
    travel, load = np.resize(record.travel, ROWS), np.resize(record.load, ROWS)
    plain = folder / "plain.txt"
    np.savetxt(plain, np.stack((time, travel, load), axis=1), fmt=("%.3f", "%.5f", "%.4f"))
    baseline = best_time(lambda: np.loadtxt(plain))
    print(f"{'baseline':10} {baseline:6.2f} s")
    for name, dialect in DIALECTS.items():
        path = write(folder / name, dialect, time, travel, load)
        scheme = ReadingScheme.from_form(sniff(path))
        sniffing = best_time(lambda path=path: sniff(path))
        reading = best_time(lambda path=path, scheme=scheme: read_curve(path, scheme))
        shares = f"{ROWS / reading / 1e6:5.2f} M rows/s  {reading / baseline:5.2f} × baseline"
        print(f"{name:10} {reading:6.2f} s  {shares}  sniff {sniffing:.2f} s")


def plain_table(path: Path, rows: int) -> Path:
    """Time, travel and load as text with decimal points."""
    with path.open("w") as handle:
        handle.write("time [s],displacement [mm],force [N]\n")
        for start in range(0, rows, 100_000):
            time = (start + np.arange(min(100_000, rows - start))) * 0.001
            travel = 0.2 * np.sin(time)
            np.savetxt(handle, np.stack((time, travel, 56000.0 * travel), axis=1), fmt=("%.3f", "%.6f", "%.2f"), delimiter=",")
    return path


def ours(path: Path) -> None:
    """The reader measured."""
    from dossier.evidence.open_table import open_table

    open_table(path)


def columnar(path: Path) -> None:
    """The reader it is held against."""
    import polars

    polars.read_csv(path)


def measured(work: Callable[[Path], None], path: Path, answers: multiprocessing.Queue) -> None:
    """Seconds, seconds of the processor and bytes of one call, in a process of its own."""
    import polars  # noqa: F401

    import dossier.evidence.open_table  # noqa: F401

    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    start, worked = perf_counter(), process_time()
    work(path)
    seconds, worked = perf_counter() - start, process_time() - worked
    answers.put((seconds, worked, (resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before) * 1024))


def large(folder: Path, rows: int) -> None:
    """One file of `rows` rows without a scheme."""
    context = multiprocessing.get_context("spawn")
    path, found = plain_table(folder / "large.csv", rows), {}
    for work in (columnar, ours) * _ROUNDS:
        answers = context.Queue()
        process = context.Process(target=measured, args=(work, path, answers))
        process.start()
        found.setdefault(work.__name__, []).append(answers.get())
        process.join()
    least = {name: np.min(rounds, axis=0) for name, rounds in found.items()}
    for name, rounds in found.items():
        seconds, worked, _ = least[name]
        ratio, share = seconds / least["columnar"][0], worked / least["columnar"][1]
        held = max(held for *_, held in rounds) / (rows * 3 * 8)
        all_times = ", ".join(f"{each:.2f}" for each, *_ in rounds)
        print(f"{name:10} {seconds:5.2f} s ({all_times})  {ratio:4.2f} × columnar; {worked:5.2f} s of the processor  "
              f"{share:4.2f} ×; {held:4.2f} × the numbers in memory")  # fmt: skip


def main() -> None:
    """The dialects, or one large file."""
    with tempfile.TemporaryDirectory() as folder:
        if len(sys.argv) > 1:
            large(Path(folder), int(sys.argv[1]))
        else:
            dialects(Path(folder))


if __name__ == "__main__":
    main()
