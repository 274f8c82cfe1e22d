"""verdicts.csv and verdicts.json: one row, or one whole advice value, a field."""

from __future__ import annotations

import csv
import datetime as dt
import io
import json
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from spadework.report.causes import first_check, named_cause
from spadework.report.display import UnitSystem, shown
from spadework.report.options import best_option

if TYPE_CHECKING:
    from spadework.advice.rescue.value import RescueOption
    from spadework.advice.value import (
        ClassProbability,
        DateRange,
        Decision,
        FieldAdvice,
        Nitrogen,
        Sampling,
        ThreeFactorIndex,
        Verdict,
    )
    from spadework.quantity import Quantity

__all__ = ["COLUMNS", "Column", "csv_text", "verdicts_csv", "verdicts_json"]

Cell = str | int | float | bool | dt.date | None


@dataclass(frozen=True)
class Column:
    """A column of verdicts.csv. A cell that is empty was not recorded or could not be answered."""

    heading: str
    description: str
    cell: Callable[[FieldAdvice], Cell]


@dataclass(frozen=True)
class HeatColumn:
    """The one column whose unit follows --units; its heading names the unit."""

    heading: str
    description: str
    quantity: Callable[[FieldAdvice], Quantity | None]

    def in_units(self, units: UnitSystem) -> Column:
        """Return the column as this system of units shows it."""

        def cell(advice: FieldAdvice) -> Cell:
            quantity = self.quantity(advice)
            return None if quantity is None else shown(quantity, units).value

        unit = "degF" if units is UnitSystem.US else "degC"
        return Column(self.heading.format(unit=unit), self.description, cell)


def verdicts_csv(all_advice: Iterable[FieldAdvice], units: UnitSystem) -> str:
    """Return the table of verdicts as CSV, in the order given."""
    columns = [column.in_units(units) if isinstance(column, HeatColumn) else column for column in COLUMNS]
    return csv_text(
        [column.heading for column in columns],
        [[column.cell(advice) for column in columns] for advice in all_advice],
    )


def verdicts_json(all_advice: Iterable[FieldAdvice]) -> str:
    """Return the whole advice of each field as JSON, in the order given; units are the inside ones."""
    from spadework import __version__
    from spadework.advice.schema import ADVICE_SCHEMA_ID, to_json

    document = {
        "schema": ADVICE_SCHEMA_ID,
        "version": __version__,
        "fields": [to_json(advice) for advice in all_advice],
    }
    return json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def csv_text(headings: Sequence[str], rows: Iterable[Sequence[Cell]]) -> str:
    """Return a table as CSV: commas, points for decimals, ISO dates, yes and no, nothing for unknown."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(headings)
    writer.writerows([_printed(cell) for cell in row] for row in rows)
    return text.getvalue()


def _printed(cell: Cell) -> str:
    match cell:
        case None:
            return ""
        case bool():
            return "yes" if cell else "no"
        case float():
            return f"{cell:.6g}"
        case int() | dt.date():
            return str(cell)
        case _:
            # A spreadsheet would run a text that begins like this as a formula.
            return f"'{cell}" if cell.lstrip().startswith(("=", "+", "-", "@")) else cell


def _percent(share: float | None) -> float | None:
    return None if share is None else 100 * share


def _of_class(classes: Sequence[ClassProbability], name: str) -> float | None:
    return _percent(next((each.probability for each in classes if each.name == name), None))


def _probability(name: str) -> Column:
    return Column(
        f"probability_{name}_percent",
        f"Probability that the field belongs to the class {name}",
        _verdict(lambda v: _of_class(v.classes, name)),
    )


def _edge(heading: str, description: str, days: Callable[[FieldAdvice], DateRange | None]) -> list[Column]:
    def day(end: str) -> Callable[[FieldAdvice], Cell]:
        return lambda advice: getattr(days(advice), end, None)

    return [
        Column(f"{heading}_from", f"{description}: earliest day", day("low")),
        Column(f"{heading}_to", f"{description}: latest day", day("high")),
    ]


def _value(quantity: Quantity | None) -> float | None:
    return None if quantity is None else quantity.value


def _verdict(cell: Callable[[Verdict], Cell]) -> Callable[[FieldAdvice], Cell]:
    return lambda advice: None if advice.verdict is None else cell(advice.verdict)


def _index(cell: Callable[[ThreeFactorIndex], Cell]) -> Callable[[FieldAdvice], Cell]:
    return lambda advice: None if advice.index is None else cell(advice.index)


def _sampling(cell: Callable[[Sampling], Cell]) -> Callable[[FieldAdvice], Cell]:
    return lambda advice: None if advice.sampling is None else cell(advice.sampling)


def _nitrogen(cell: Callable[[Nitrogen], Cell]) -> Callable[[FieldAdvice], Cell]:
    return lambda advice: None if advice.nitrogen is None else cell(advice.nitrogen)


def _decision(cell: Callable[[Decision], Cell]) -> Callable[[FieldAdvice], Cell]:
    return lambda advice: None if advice.decision is None else cell(advice.decision)


def _best(cell: Callable[[RescueOption], Cell]) -> Callable[[FieldAdvice], Cell]:
    """A cell of the option that gives nitrogen: the one chosen, else the one that pays best."""

    def of_best(advice: FieldAdvice) -> Cell:
        option = None if advice.decision is None else best_option(advice.decision)
        return None if option is None else cell(option)

    return of_best


COLUMNS: tuple[Column | HeatColumn, ...] = (
    Column("field", "Field, as the book calls it", lambda a: a.field),
    Column("name", "Name that the grower uses", lambda a: a.name),
    Column("grower", "Whose field it is", lambda a: a.grower),
    Column("crop", "Crop", lambda a: a.crop.value),
    Column("advised_on", "Day that the advice holds for", lambda a: a.advised_on),
    Column("dug_on", "Day of the last dig", lambda a: a.timing.dug_on),
    Column(
        "timing",
        "too_early, first_look (presence only), in_window, too_late or unknown",
        lambda a: a.timing.state,
    ),
    Column("timing_sure", "Whether the known dates leave no room for another answer", lambda a: a.timing.sure),
    Column("timing_decided_by", "stage_seen, calendar or none", lambda a: a.timing.decided_by),
    *_edge("window_opens", "Day the dig window opens", lambda a: a.timing.opens),
    *_edge("window_closes", "Day the dig window closes", lambda a: a.timing.closes),
    Column("anchor", "What days are counted from", lambda a: a.timing.anchor),
    Column(
        "days_since_anchor",
        "Days from the anchor to the dig",
        lambda a: _value(a.timing.days_since_anchor),
    ),
    HeatColumn(
        "degree_days_{unit}_d",
        "Degree-days; base and averaging rule stand in verdicts.json",
        lambda a: None if a.timing.degree_days is None else a.timing.degree_days.total,
    ),
    Column(
        "stage_seen_bbch",
        "Growth stage seen at the dig",
        lambda a: None if a.timing.stage is None else a.timing.stage.seen,
    ),
    Column("verdict", "The most probable class", _verdict(lambda v: v.leading)),
    Column(
        "verdict_probability_percent",
        "Probability of that class",
        _verdict(lambda v: _percent(v.probability)),
    ),
    _probability("poor"),
    _probability("borderline"),
    _probability("adequate"),
    Column(
        "share_adequate_percent",
        "Share of plants adequate",
        _verdict(lambda v: _percent(v.share.value)),
    ),
    Column(
        "share_adequate_low_percent",
        "Lower end of its interval",
        _verdict(lambda v: _percent(v.share.low)),
    ),
    Column(
        "share_adequate_high_percent",
        "Upper end of its interval",
        _verdict(lambda v: _percent(v.share.high)),
    ),
    Column("interval_level_percent", "How often such intervals hold", lambda a: _percent(a.basis.level)),
    Column("plants", "Plants scored at that dig", _verdict(lambda v: v.plants)),
    Column("stops", "Stops they came from", _verdict(lambda v: v.stops)),
    Column("target", "What an adequate plant carries", _verdict(lambda v: v.target.value)),
    Column("counting_unit", "nodule or cluster", _verdict(lambda v: v.target.counting_unit)),
    Column("target_scheme", "Knowledge row of the target", _verdict(lambda v: v.target.scheme)),
    Column(
        "mean_effective_per_plant",
        "Mean of effective nodules (or clusters) a plant",
        _verdict(lambda v: v.mean_effective.value),
    ),
    Column(
        "by_number_only",
        "Whether no nodule was cut open, so that colour is unknown",
        _verdict(lambda v: v.by_number_only),
    ),
    Column(
        "patch",
        "Whether stops differ more than chance allows",
        _verdict(lambda v: v.patch is not None),
    ),
    Column("index", "Three-factor index, 0 to 13", _index(lambda i: i.total.value)),
    Column("index_low", "Lower end of its interval", _index(lambda i: i.total.low)),
    Column("index_high", "Upper end of its interval", _index(lambda i: i.total.high)),
    Column("index_class", "Most probable class of the index", _index(lambda i: i.leading)),
    Column("settled", "Whether enough plants were dug", _sampling(lambda s: s.settled)),
    Column("more_plants", "Further plants that would settle it", _sampling(lambda s: s.more_plants)),
    Column("more_stops", "Stops to dig them in", _sampling(lambda s: s.more_stops)),
    Column(
        "missing",
        "Records that are not there and would add something",
        lambda a: "; ".join(part.record for part in a.missing),
    ),
    Column("overridden", "Knowledge rows replaced by the book", lambda a: _rows(a, overridden=True)),
    Column("knowledge", "Fingerprint of the knowledge tables", lambda a: a.basis.knowledge_hash),
    Column(
        "cause",
        "The likeliest cause, by its knowledge row; empty where nothing is wrong or it cannot be told",
        lambda a: None if (cause := named_cause(a)) is None else cause.cause,
    ),
    Column(
        "cause_probability_percent",
        "Probability of that cause",
        lambda a: None if (cause := named_cause(a)) is None else _percent(cause.probability.value),
    ),
    Column(
        "next_check",
        "The check worth making first, by its knowledge row, where there is a cause to look for",
        lambda a: None if (check := first_check(a)) is None else check.check,
    ),
    Column(
        "nitrogen_state",
        "Whether there is nitrogen for the yield expected: enough, short or cannot_tell",
        _nitrogen(lambda n: n.state),
    ),
    Column(
        "gap_kg_ha",
        "Nitrogen short at ripeness, above ground, most likely",
        _nitrogen(lambda n: n.gap_at_maturity.value),
    ),
    Column("gap_low_kg_ha", "Lower end of its interval", _nitrogen(lambda n: n.gap_at_maturity.low)),
    Column("gap_high_kg_ha", "Upper end of its interval", _nitrogen(lambda n: n.gap_at_maturity.high)),
    Column(
        "fixed_share_percent",
        "Share of the crop's nitrogen that comes from the air",
        _nitrogen(lambda n: _percent(n.fixed_share.value)),
    ),
    Column(
        "chance_of_gap_percent",
        "Chance of a gap that matters; what matters stands in verdicts.json",
        _nitrogen(lambda n: _percent(n.chance_of_gap)),
    ),
    Column(
        "decision",
        "leave, apply, dig_again, dig_first, needs_prices or cannot_tell",
        _decision(lambda d: d.kind),
    ),
    Column("why", "The reason of the decision as a word", _decision(lambda d: d.why)),
    Column("act_by", "Day by which the decision asks for something", _decision(lambda d: d.act_by)),
    Column(
        "rate_kg_ha",
        "Nitrogen of the option chosen, else of the one with nitrogen that pays best",
        _best(lambda option: option.rate.value),
    ),
    Column("product", "Its product, by its knowledge row", _best(lambda option: option.product)),
    Column(
        "net_return_per_ha",
        "Its expected net return against leaving the crop, in the book's own currency",
        _best(lambda option: _value(option.net_return)),
    ),
    Column(
        "chance_of_loss_percent",
        "Chance that it loses money",
        _best(lambda option: _percent(option.chance_of_loss)),
    ),
    Column(
        "value_of_waiting_per_ha",
        "What digging again first is worth against the best that can be done now",
        _decision(lambda d: None if d.dig_again is None else d.dig_again.value),
    ),
)
"""The columns of verdicts.csv, in order. New ones go to the end, so that scripts keep working."""


def _rows(advice: FieldAdvice, *, overridden: bool) -> str:
    return "; ".join(row.row for row in advice.basis.rows if row.overridden is overridden)
