"""Findings from the history of the field and the day of the dig."""

from __future__ import annotations

from collections.abc import Iterator

from spadework.advice.diagnosis.value import Evidence
from spadework.advice.evidence.rule import limit_for, tell
from spadework.advice.evidence.seen import Seen

__all__ = ["history"]


def history(seen: Seen) -> Iterator[Evidence]:
    """Whether crops of the same rhizobia group grew here, and whether the dig was early or late."""
    yield from _host_new(seen)
    yield from _dug_at_the_wrong_time(seen)


def _host_new(seen: Seen) -> Iterator[Evidence]:
    field = seen.records.field
    years, long_ago, some_time = (limit_for(name, seen) for name in ("host_years", "host_long_ago", "host_some_time"))
    season = (field.sown_on or seen.today).year
    if field.host_grown_before is False:
        if field.host_last_year is None:
            yield tell("host_new", 1.0, "host_never")
        return
    if field.host_last_year is not None:
        ago = season - field.host_last_year
        if ago >= 0:
            values = {"year": field.host_last_year, "years": ago}
            if ago > years.central:
                yield tell("host_new", long_ago.central, "host_year", values, (years, long_ago), told_as="partly")
            else:
                yield tell("host_new", 0.0, "host_year", values, (years,))
    elif field.host_grown_before:
        yield tell("host_new", some_time.central, "host_some_time", rows=(some_time,), told_as="no")


def _dug_at_the_wrong_time(seen: Seen) -> Iterator[Evidence]:
    """What the judged dig's time is, as sure as its dates are."""
    timing = seen.timing
    if timing.dug_on is None or timing.state == "unknown":
        return
    doubt = limit_for("time_unsure", seen)
    sure = 1.0 if timing.sure else doubt.central
    rows = () if timing.sure else (doubt,)
    # Of a dig that is in time, but not surely so, early and late share what is left.
    in_time = (1 - sure) / 2 if timing.wrong_time is None else 0.0
    for finding, wrong_time in (("dug_early", "early"), ("dug_late", "late")):
        so = timing.wrong_time == wrong_time
        told_as = "no" if not so else "yes" if timing.sure else "partly"
        yield tell(finding, sure if so else in_time, finding, {"day": timing.dug_on}, rows, told_as=told_as)
