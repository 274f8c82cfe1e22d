"""Print how long Spadework takes for the things that people wait for.

    python -m benchmarks              all of them (three to six minutes)
    python -m benchmarks advice help  only these, of: advice, diagnosis, season, help, demo, many

Each is given in seconds by the clock and in seconds of processor time, and as a ratio to a yardstick timed in the same
run, so that numbers from two machines can be compared. Nothing is asserted.
"""

import argparse
import json
import os
import platform
import statistics
import sys
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from benchmarks import clock
from benchmarks.book import PLANTS_PER_STOP, STOPS, many_fields


@dataclass(frozen=True)
class Result:
    what: str
    took: str
    goal: str
    ratio: str
    how: str


def advice(sort: float) -> Iterator[Result]:
    """Records in memory to the advice value, knowledge loaded, code warm."""
    from spadework.advice.field import advise
    from spadework.demo import demo_book
    from spadework.knowledge.load import load

    book, knowledge = demo_book(), load()
    fields = book.by_field()

    def median(field: str) -> clock.Took:
        def once() -> object:
            return advise(fields[field], book.settings, knowledge, book.settings.today)

        return clock.median(once, runs=11, warm=2)

    first = median("north-01")
    yield Result(
        "one field, records to advice",
        _milliseconds(first),
        "under 50 ms",
        f"{first.wall / sort:.2f} sorts",
        "north-01 of the demo (30 plants, a season's weather); in memory, warm; median of 11",
    )
    every = {field: median(field) for field in fields}
    slowest = max(every, key=lambda field: every[field].work)
    for what, took in (
        ("the same, middle of the demo's fields", statistics.median(took.wall for took in every.values())),
        (f"the same, slowest of them ({slowest})", every[slowest].wall),
    ):
        yield Result(what, f"{1000 * took:.1f} ms", "under 50 ms", f"{took / sort:.2f} sorts", "each field as above")


def diagnosis(sort: float) -> Iterator[Result]:
    """Causes and the worth of 25 checks from what is known of a field; then the same beside a general library."""
    from importlib.metadata import version

    from benchmarks.diagnosis import CHECKS, DRAWS, FEWER_CAUSES, fewer, field, in_library

    question = field()
    causes, findings = question.model.central.lift.shape
    whole = clock.median(question.answered, runs=21, warm=2)
    yield Result(
        f"causes and {CHECKS} checks of one field",
        _milliseconds(whole),
        "under 30 ms",
        f"{whole.wall / sort:.2f} sorts",
        f"{causes} causes, at most {question.model.central.most_together} together, {findings} findings of which "
        f"{np.isfinite(question.answers).sum()} are known; exact; in memory, warm; median of 21",
    )
    bands = clock.median(question.over_bands, runs=7, warm=1)
    yield Result(
        f"the same causes {DRAWS} times over the bands",
        _milliseconds(bands),
        "under 60 ms",
        f"{bands.wall / sort:.2f} sorts",
        "every figure drawn anew each time, no checks; median of 7",
    )
    small = fewer()
    ask = in_library(small)
    for ours, theirs in zip(small.answered(), ask(), strict=True):
        if not np.allclose(ours, theirs, rtol=0, atol=1e-9):
            raise SystemExit("The library and the engine differ on the same network; the ratio would mean nothing.")
    here, there = clock.median(small.answered, runs=21, warm=2), clock.median(ask, runs=7, warm=1)
    yield Result(
        f"{FEWER_CAUSES} of the causes and {len(small.checks)} checks",
        _milliseconds(here),
        "",
        f"1/{there.wall / here.wall:.0f} of pgmpy {version('pgmpy')} ({1000 * there.wall:.0f} ms)",
        "the same network in both: fewer causes, since its tables double with each, but any number of them together; "
        "same probabilities and bits to 1e-9; it is not asked for courses",
    )


def season(sort: float) -> Iterator[Result]:
    """The season balance of one field, and of a million cells beside a plain loop over whole arrays."""
    from benchmarks.season import lines

    for line in lines(sort):
        yield Result(*line)


def help_text(sort: float) -> Iterator[Result]:
    """A whole process that prints the help, against one that does nothing."""
    bare = clock.median(clock.process([sys.executable, "-c", "pass"]), runs=11, warm=1)
    helped = clock.median(clock.process([clock.COMMAND, "--help"]), runs=11, warm=1)
    yield Result(
        "spadework --help",
        _seconds(helped, digits=3),
        "under 0.4 s",
        f"{helped.wall / bare.wall:.1f} x python -c pass ({1000 * bare.wall:.0f} ms)",
        f"whole process, start to end; median of 11; {helped.wall / sort:.0f} sorts",
    )


def demo(sort: float) -> Iterator[Result]:
    """The demo season with all its pages, as a user runs it."""
    with tempfile.TemporaryDirectory() as folder:
        places = iter(range(100))

        def once() -> object:
            return clock.process([clock.COMMAND, "demo", "--out", f"{folder}/{next(places)}"])()

        took = clock.median(once, runs=3)
        pages = len(list(Path(folder, "0").rglob("*.pdf")))
    yield Result(
        f"demo season, {pages} PDFs",
        _seconds(took),
        "under 15 s",
        f"{took.wall / sort:.0f} sorts",
        "`spadework demo --out DIR`, whole process, empty folder; median of 3",
    )


def many(sort: float) -> Iterator[Result]:
    """Books of 500, 1,000 and 2,000 fields from files to verdicts, without pages."""
    from spadework.records.write import write_book

    for count in (500, 1000, 2000):
        with tempfile.TemporaryDirectory() as folder:
            book, out = Path(folder, "book"), Path(folder, "verdicts")
            write_book(many_fields(count), book)
            took = clock.timed(clock.process([clock.COMMAND, "assess", str(book), "--no-pdf", "--out", str(out)]))
            answered = json.loads((out / "verdicts.json").read_text(encoding="utf-8"))["fields"]
            if sum(field["verdict"] is not None for field in answered) < 0.7 * count:
                raise SystemExit(f"Only some of the {count} fields got a verdict; the time would mislead.")
        yield Result(
            f"{count:,} fields x {STOPS * PLANTS_PER_STOP} plants, no PDFs",
            f"{_seconds(took)}; {1000 * took.work / count:.1f} ms of work a field",
            "under 60 s" if count == 2000 else "in proportion",
            f"{took.wall / sort:.0f} sorts",
            "`spadework assess BOOK --no-pdf --out DIR`, whole process, files to verdicts.json; once",
        )


def _milliseconds(took: clock.Took) -> str:
    return f"{1000 * took.wall:.1f} ms ({1000 * took.work:.1f} ms of work)"


def _seconds(took: clock.Took, *, digits: int = 1) -> str:
    return f"{took.wall:.{digits}f} s ({took.work:.{digits}f} s of work)"


BENCHMARKS: dict[str, Callable[[float], Iterator[Result]]] = {
    "advice": advice,
    "diagnosis": diagnosis,
    "season": season,
    "help": help_text,
    "demo": demo,
    "many": many,
}


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m benchmarks", description="Print how long Spadework takes.")
    parser.add_argument("names", nargs="*", metavar="NAME", help=f"any of {', '.join(BENCHMARKS)}; all when none")
    names = parser.parse_args().names or list(BENCHMARKS)
    if unknown := set(names) - set(BENCHMARKS):
        parser.error(f"there is no benchmark {', '.join(sorted(unknown))}; choose from {', '.join(BENCHMARKS)}")
    processors = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count()
    sort = clock.yardstick()
    busy = f", load {os.getloadavg()[0]:.1f}" if hasattr(os, "getloadavg") else ""
    print(f"Python {platform.python_version()}, {platform.machine()}, {processors} processors{busy}")
    print(f"yardstick: one sort of a million numbers takes {1000 * sort:.1f} ms\n")
    for name in names:
        for result in BENCHMARKS[name](sort):
            print(f"{result.what:<40} {result.took:<52} {result.goal:<14} {result.ratio}")
            print(f"    {result.how}\n", flush=True)


if __name__ == "__main__":
    main()
