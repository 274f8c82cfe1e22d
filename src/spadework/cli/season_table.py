"""Verdicts on the terminal: one table, then what stands behind it in plain sentences."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from spadework.advice.messages import render
from spadework.advice.value import FieldAdvice, Message, SourceUsed
from spadework.cli.choices import Format, UnitSystem
from spadework.cli.field_text import field_sections
from spadework.cli.screen import console, show, write_data
from spadework.cli.verdicts import verdicts_csv, verdicts_json
from spadework.quantity import Grade
from spadework.report.causes import named_cause
from spadework.report.decision import decision_word
from spadework.report.display import UnitSystem as ReportUnits
from spadework.report.display import format_number, format_quantity, format_share
from spadework.report.labels import labels, word
from spadework.report.reader import reader_of

if TYPE_CHECKING:
    from rich.console import RenderableType
    from rich.table import Table
    from rich.text import Text

    from spadework.quantity import Quantity

__all__ = ["print_verdicts"]

_MOST_SHOWN = 12
"""Sentences of one kind below the table; the rest is counted."""

_LIKELY_SHORT = 0.5
"""Chance of a gap from which a field that cannot be told is worth a line."""

_STYLES = {"poor": "bold red", "borderline": "yellow", "adequate": "green"}
_NOTHING = "–"
_JUDGEMENT = "*"


def print_verdicts(all_advice: Sequence[FieldAdvice], form: Format, units: UnitSystem) -> None:
    """Print verdicts in the order given, as a table with notes, as JSON or as CSV."""
    shown_in = ReportUnits(units.value)
    match form:
        case Format.JSON:
            write_data(verdicts_json(all_advice))
        case Format.CSV:
            write_data(verdicts_csv(all_advice, shown_in))
        case Format.TABLE:
            _print_table(all_advice, shown_in)


def _print_table(all_advice: Sequence[FieldAdvice], units: ReportUnits) -> None:
    sections = field_sections(all_advice[0], units) if len(all_advice) == 1 else _season_sections(all_advice, units)
    most = None if len(all_advice) == 1 else _MOST_SHOWN  # one field is told in full
    show(
        _table_that_fits(all_advice, units),
        *(part for title, sentences in sections if sentences for part in _section(title, sentences, most=most)),
    )


def _table_that_fits(all_advice: Sequence[FieldAdvice], units: ReportUnits) -> Table:
    """Return one line a field where the window is wide enough; else two short cells share a column."""
    screen = console()
    one_line = _table(all_advice, units, wide=True)
    unbounded = screen.options.update(max_width=1000)
    if screen.measure(one_line, options=unbounded).maximum <= screen.width:
        return one_line
    return _table(all_advice, units, wide=False)


def _section(title: str, sentences: Sequence[str], *, most: int | None) -> Iterator[RenderableType]:
    from rich.padding import Padding
    from rich.text import Text

    yield Text(f"\n{title}", style="bold")
    for sentence in sentences[:most]:
        yield Padding(Text(sentence), (0, 0, 0, 2))
    if most is not None and len(sentences) > most:
        yield Text(f"  and {len(sentences) - most} more; --format json holds them all.")


def _table(all_advice: Sequence[FieldAdvice], units: ReportUnits, *, wide: bool) -> Table:
    from rich import box
    from rich.table import Table
    from rich.text import Text

    decided = any(advice.decision is not None for advice in all_advice)
    if wide:
        columns = [(heading, [cell]) for heading, cell in (*_CELLS[:2], *(_DECIDED if decided else ()), *_CELLS[2:])]
    else:
        cells = dict((*_CELLS, *_DECIDED))
        pairs = (_PAIRS[0], *([tuple(heading for heading, _ in _DECIDED)] if decided else ()), *_PAIRS[1:])
        columns = [("\n ".join(pair), [cells[name] for name in pair]) for pair in pairs]
    table = Table(box=box.SIMPLE_HEAD, padding=(0, 1, 0, 0), pad_edge=False, show_edge=False)
    for heading, _ in columns:
        table.add_column(heading, overflow="fold", vertical="top")
    for advice in all_advice:
        table.add_row(*[Text("\n ").join(cell(advice, units) for cell in cells) for _, cells in columns])
    return table


def _field(advice: FieldAdvice, _units: ReportUnits) -> Text:
    from rich.text import Text

    return Text(advice.field, style="bold")


def _crop(advice: FieldAdvice, _units: ReportUnits) -> Text:
    return _plain(word(labels(), "crop", advice.crop.value).lower())


def _decision(advice: FieldAdvice, _units: ReportUnits) -> Text:
    return _plain(decision_word(advice.decision, labels()) or _NOTHING)


def _act_by(advice: FieldAdvice, _units: ReportUnits) -> Text:
    day = None if advice.decision is None else advice.decision.act_by
    return _plain(_NOTHING if day is None else day.isoformat())


def _dug(advice: FieldAdvice, _units: ReportUnits) -> Text:
    return _plain("not dug" if advice.timing.dug_on is None else advice.timing.dug_on.isoformat())


def _timing(advice: FieldAdvice, _units: ReportUnits) -> Text:
    doubt = "" if advice.timing.sure or advice.timing.state == "unknown" else "?"
    return _plain(word(labels(), "state", advice.timing.state) + doubt)


def _verdict(advice: FieldAdvice, _units: ReportUnits) -> Text:
    from rich.text import Text

    verdict = advice.verdict
    if verdict is None:
        return _plain(_NOTHING)
    name = word(labels(), "class", verdict.leading)
    rest = f" {format_share(verdict.probability)}{', patch' if verdict.patch else ''}"
    if not advice.timing.in_time:
        return Text(f"({name}{rest})", style="dim")
    return Text.assemble((name, _STYLES.get(verdict.leading, "")), rest)


def _share(advice: FieldAdvice, units: ReportUnits) -> Text:
    if advice.verdict is None:
        return _plain(_NOTHING)
    share = advice.verdict.share
    return _plain(format_quantity(share, units, interval=False) + _mark(share))


def _interval(advice: FieldAdvice, _units: ReportUnits) -> Text:
    share = None if advice.verdict is None else advice.verdict.share
    if share is None or share.low is None or share.high is None:
        return _plain(_NOTHING)
    return _plain(f"{format_share(share.low).removesuffix(' %')} to {format_share(share.high)}")


def _index(advice: FieldAdvice, _units: ReportUnits) -> Text:
    if advice.index is None:
        return _plain(_NOTHING)
    total = advice.index.total
    return _plain(format_number(total.value, 1) + _mark(total))


def _mark(quantity: Quantity) -> str:
    """Mark a figure that rests on judgement."""
    return _JUDGEMENT if quantity.grade is Grade.JUDGEMENT else ""


def _more(advice: FieldAdvice, _units: ReportUnits) -> Text:
    sampling = advice.sampling
    if sampling is None or not advice.timing.in_time:
        return _plain(_NOTHING)
    if sampling.settled:
        return _plain("settled")
    if sampling.more_plants is None:
        return _plain("not settled")
    return _plain(f"{sampling.more_plants} in {sampling.more_stops} stop{'' if sampling.more_stops == 1 else 's'}")


def _plain(text: str) -> Text:
    from rich.text import Text

    return Text(text)


_CELLS: list[tuple[str, Callable[[FieldAdvice, ReportUnits], Text]]] = [
    ("Field", _field),
    ("Crop", _crop),
    ("Dug", _dug),
    ("Time", _timing),
    ("Verdict", _verdict),
    ("Adequate", _share),
    ("Interval", _interval),
    ("Index", _index),
    ("More plants", _more),
]
_DECIDED: list[tuple[str, Callable[[FieldAdvice, ReportUnits], Text]]] = [("Decision", _decision), ("By", _act_by)]
_PAIRS: list[tuple[str, ...]] = [
    ("Field", "Crop"),
    ("Dug", "Time"),
    ("Verdict", "More plants"),
    ("Adequate", "Interval"),
    ("Index",),
]


def _season_sections(all_advice: Sequence[FieldAdvice], units: ReportUnits) -> Iterator[tuple[str, list[str]]]:
    """Yield title and sentences of what stands below the table of several fields."""
    yield "How to read it", [_legend(all_advice)] if all_advice else []
    yield "To do first", [*_to_do(all_advice, units)]
    yield "Look at these", [*_from_fields(all_advice, _warnings)]
    yield "Likely causes", [*_from_fields(all_advice, _causes)]
    yield "Nitrogen", [*_from_fields(all_advice, _short_of_nitrogen)]
    yield "Not recorded", _missing(all_advice)
    own = _rows(all_advice, lambda row: row.overridden)
    judged = _rows(all_advice, lambda row: row.grade is Grade.JUDGEMENT and not row.overridden)
    yield "Figures from the book itself", [f"{own}."] if own else []
    yield "Rest on judgement (grade C)", [f"{judged}.", "`spadework source ID` tells more of each."] if judged else []
    yield "Cautions", _once(advice.cautions for advice in all_advice)


def _legend(all_advice: Sequence[FieldAdvice]) -> str:
    level = format_share(all_advice[0].basis.level)
    return (
        f"Adequate: share of plants that reach the target, with its {level} interval. Index: three factors, "
        "0 to 13. More plants: what would settle the verdict. In brackets: dug at a time when a poor reading "
        "is not held against the crop. A question mark: the dates known leave room for another answer. "
        "A star: rests on judgement, not on a published figure."
    )


def _from_fields(
    all_advice: Sequence[FieldAdvice], of_field: Callable[[FieldAdvice], Iterator[Message]]
) -> Iterator[str]:
    for advice in all_advice:
        for message in of_field(advice):
            yield f"{advice.field}: {render(message)}"


def _to_do(all_advice: Sequence[FieldAdvice], units: ReportUnits) -> Iterator[str]:
    """Yield the decision of every field that waits for a day not past, the nearest day first."""
    waiting = [
        (day, advice)
        for advice in all_advice
        if advice.decision is not None and (day := advice.decision.act_by) is not None and day >= advice.advised_on
    ]
    for _, advice in sorted(waiting, key=lambda pair: pair[0]):
        assert advice.decision is not None  # noqa: S101 - chosen so above
        yield f"{advice.field}: {reader_of(advice, units).say(advice.decision.headline)}"


def _warnings(advice: FieldAdvice) -> Iterator[Message]:
    verdict, readings = advice.verdict, advice.readings
    if verdict is not None and verdict.patch is not None:
        yield verdict.patch.message
    if readings is not None and readings.agreement is not None and readings.agreement.warning:
        yield readings.agreement.message


def _causes(advice: FieldAdvice) -> Iterator[Message]:
    if named_cause(advice) is not None:
        yield advice.diagnosis.headline


def _short_of_nitrogen(advice: FieldAdvice) -> Iterator[Message]:
    nitrogen = advice.nitrogen
    if nitrogen is None:
        return
    likely = nitrogen.state == "cannot_tell" and nitrogen.chance_of_gap >= _LIKELY_SHORT
    if nitrogen.state == "short" or likely:
        yield nitrogen.headline


def _missing(all_advice: Sequence[FieldAdvice]) -> list[str]:
    """Return one sentence a record that is missing somewhere, with how many fields miss it."""
    fields_without: dict[tuple[str, str], int] = {}
    for advice in all_advice:
        for part in advice.missing:
            line = (render(part.name), render(part.adds))
            fields_without[line] = fields_without.get(line, 0) + 1
    ordered = sorted(fields_without.items(), key=lambda item: -item[1])
    return [f"{record} ({number} field{'' if number == 1 else 's'}): {adds}" for (record, adds), number in ordered]


def _rows(all_advice: Sequence[FieldAdvice], has_mark: Callable[[SourceUsed], bool]) -> str:
    """Return the names of the knowledge rows that bear a mark, in the order of their first use."""
    return ", ".join(dict.fromkeys(row.row for advice in all_advice for row in advice.basis.rows if has_mark(row)))


def _once(cautions: Iterable[Sequence[Message]]) -> list[str]:
    return list(dict.fromkeys(render(message) for messages in cautions for message in messages))
