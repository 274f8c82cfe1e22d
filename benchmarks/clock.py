"""How times are taken: wall clock and processor time, the middle of several runs, a yardstick of the same run."""

import os
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

COMMAND = str(Path(sys.executable).with_name("spadework"))


@dataclass(frozen=True)
class Took:
    """Seconds by the clock on the wall, and seconds of work of all processors, those of processes started included.

    On a machine that does other things at the time the first grows and the second hardly does.
    """

    wall: float
    work: float


def _worked() -> float:
    children = os.times()
    return time.process_time() + children.children_user + children.children_system


def timed(run: Callable[[], object]) -> Took:
    wall, work = time.perf_counter(), _worked()
    run()
    return Took(time.perf_counter() - wall, _worked() - work)


def median(run: Callable[[], object], *, runs: int, warm: int = 0) -> Took:
    """Middle of ``runs`` times, after ``warm`` runs that are not counted."""
    for _ in range(warm):
        run()
    times = [timed(run) for _ in range(runs)]
    return Took(statistics.median(one.wall for one in times), statistics.median(one.work for one in times))


def process(arguments: Sequence[str]) -> Callable[[], object]:
    """A whole process as one run: start, work, end. A process that fails stops the benchmark."""

    def once() -> None:
        done = subprocess.run(arguments, check=False, capture_output=True, text=True)
        if done.returncode:
            raise SystemExit(f"{' '.join(arguments)} ended with {done.returncode}:\n{done.stdout}{done.stderr}")

    return once


def yardstick() -> float:
    """Seconds that this machine takes to sort a million numbers; what a time is worth on another machine."""
    numbers = np.random.default_rng(1).random(1_000_000)
    return median(lambda: np.sort(numbers), runs=9, warm=1).wall
