"""Time to the first frame, from a key to the repainted screen, and of `status`, in a real pseudo-terminal.

Run it with `python -m tests.bench.bench_terminal`. The goals are 1.0 s, 50 ms with 2,000 requirements, and 0.5 s.
The ratio to the baseline (Python starts and imports the toolkit) can be compared between machines and revisions.
Nothing is asserted.
"""

import os
import select
import shutil
import subprocess
import sys
import tempfile
import tomllib
from collections.abc import Callable
from pathlib import Path
from statistics import median
from time import perf_counter

import tomli_w

from tests.screens.terminal import Terminal

DEMO = Path(__file__).parents[2] / "projects" / "axle-link"
RUNS, KEYS, MANY = 7, 60, 2000
QUIET_S = 0.02  # no output for so long: the key is answered


def seconds(work: Callable[[], object]) -> float:
    start = perf_counter()
    work()
    return perf_counter() - start


def run(*words: str) -> Callable[[], object]:
    return lambda: subprocess.run([sys.executable, *words], check=True, stdout=subprocess.DEVNULL)


def first_frame(root: Path, words: str) -> float:
    start = perf_counter()
    terminal = Terminal([str(root), "--person", "M. Olsen"])
    try:
        terminal.until(words)
        return perf_counter() - start
    finally:
        terminal.close()


def repaint(terminal: Terminal, key: str) -> float:
    """From a key to the last byte of what it draws."""
    start = last = perf_counter()
    terminal.press(key)
    while select.select([terminal.master], [], [], QUIET_S if last > start else 2.0)[0]:
        os.read(terminal.master, 65536)
        last = perf_counter()
    return last - start


def repaints(root: Path, sheet: str, words: str) -> float:
    terminal = Terminal([str(root), "--person", "M. Olsen"])
    try:
        terminal.until("What stops the next step from closing?")
        terminal.press(sheet)
        terminal.until(words)
        repaint(terminal, "\x1b[B")
        return median(repaint(terminal, "\x1b[B") for _ in range(KEYS))
    finally:
        terminal.close()


def widened(root: Path) -> None:
    """The demonstration project with many requirements more."""
    place = root / "requirements" / "1-mass-and-geometry.toml"
    raw = tomllib.loads(place.read_text("utf-8"))
    first = raw["requirement"][0]
    raw["requirement"] += [{**first, "id": f"R-{1000 + number}", "title": f"copy {number}"} for number in range(MANY)]
    place.write_text(tomli_w.dumps(raw), "utf-8")


def main() -> None:
    baseline = median(seconds(run("-c", "import textual.app")) for _ in range(RUNS))
    with tempfile.TemporaryDirectory() as folder:
        os.environ["DOSSIER_STATE"] = str(Path(folder) / "state")
        root, wide = Path(folder) / "demo", Path(folder) / "wide"
        shutil.copytree(DEMO, root)
        shutil.copytree(DEMO, wide)
        widened(wide)
        times = {
            "first frame of the demonstration project": median(first_frame(root, "What stops") for _ in range(RUNS)),
            f"first frame with {MANY} requirements": median(first_frame(wide, "What stops") for _ in range(3)),
            "status": median(seconds(run("-m", "dossier", "status", str(root))) for _ in range(RUNS)),
            f"key to repaint, sheet 2, {MANY} requirements": repaints(wide, "2", "R-10"),
            "key to repaint, sheet 2 of the demonstration project": repaints(root, "2", "R-00"),
        }
    print(f"baseline {baseline:.3f} s")
    for what, time in times.items():
        print(f"{what}: {time:.3f} s, ratio to the baseline {time / baseline:.2f}")


if __name__ == "__main__":
    main()
