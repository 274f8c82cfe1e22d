"""Measured fixation on the terminal, as CSV and as JSON."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Sequence
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING

from spadework import __version__
from spadework.advice.measured.value import FieldMeasurement, MeasuredShare
from spadework.advice.message import Message
from spadework.advice.messages import inside_amounts, render
from spadework.cli.choices import Format, UnitSystem
from spadework.cli.screen import section, show, write_data
from spadework.cli.verdicts import csv_text
from spadework.quantity import Grade, Quantity
from spadework.report.display import UnitSystem as ReportUnits
from spadework.report.display import amounts_in, format_quantity, format_share
from spadework.report.labels import labels
from spadework.report.left import credit_lines

if TYPE_CHECKING:
    from rich.table import Table

    from spadework.advice.value import Basis

__all__ = ["COLUMNS", "LABORATORY_SCHEMA_ID", "print_measured"]

LABORATORY_SCHEMA_ID = "urn:spadework:laboratory:1"

_MOST_SHOWN = 40
_NOTHING = "–"
_METHODS = {
    "natural_abundance": "15N natural abundance",
    "isotope_dilution": "15N isotope dilution",
    "nitrogen_difference": "nitrogen difference",
    "ureides": "ureides",
}
_QUALITIES = {"not_usable": "not usable"}


def print_measured(measured: Sequence[FieldMeasurement], basis: Basis, form: Format, units: UnitSystem) -> None:
    """Print what the samples say of each field, in the order given."""
    match form:
        case Format.JSON:
            write_data(_as_json(measured, basis))
        case Format.CSV:
            write_data(_as_csv(measured, basis))
        case Format.TABLE:
            shown_in = ReportUnits(units.value)
            show(
                _table(measured, shown_in),
                *(
                    part
                    for title, sentences in _sections(measured, basis, shown_in)
                    if sentences
                    for part in section(title, sentences, most=_MOST_SHOWN)
                ),
            )


def _table(measured: Sequence[FieldMeasurement], units: ReportUnits) -> Table:
    from rich import box
    from rich.table import Table

    table = Table(box=box.SIMPLE_HEAD, padding=(0, 1, 0, 0), pad_edge=False, show_edge=False)
    for heading in ("Field", "Method", "Share", "Interval", "Samples", "Reference", "Fixed in shoot"):
        table.add_column(heading, overflow="fold", vertical="top")
    for field in measured:
        for one in field.methods:
            table.add_row(*_cells(field, one, units))
    return table


def _cells(field: FieldMeasurement, one: MeasuredShare, units: ReportUnits) -> Iterator[str]:
    share = one.share
    yield field.field or _NOTHING
    yield _METHODS[one.method]
    yield _NOTHING if share is None else format_quantity(share, units, interval=False)
    if share is None or share.low is None or share.high is None:
        yield _NOTHING
    else:
        yield f"{format_share(share.low).removesuffix(' %')} to {format_share(share.high)}"
    yield f"{one.legume_samples}" + (f" + {one.reference_samples}" if one.reference_samples else "")
    yield _NOTHING if one.quality is None else _QUALITIES.get(one.quality, one.quality)
    yield _NOTHING if one.fixed_shoot is None else format_quantity(one.fixed_shoot, units)


def _sections(
    measured: Sequence[FieldMeasurement], basis: Basis, units: ReportUnits
) -> Iterator[tuple[str, list[str]]]:
    """Yield title and sentences of each part below the table."""
    several = len(measured) > 1
    amounts = amounts_in(units, measured[0].crop) if measured else inside_amounts

    def say(line: Message) -> str:
        return render(line, amounts=amounts)

    yield "No share", [*_said(measured, lambda one: [] if one.refused is None else [say(one.refused)])]
    yield "What the share hangs on", [*_said(measured, lambda one: [say(line) for line in one.sensitivity])]
    yield (
        "Warnings",
        [
            *_said(measured, lambda one: [say(line) for line in one.warnings]),
            *(_of(field, say(line), several) for field in measured for line in field.warnings),
        ],
    )
    for field in measured:
        of_field = f" of {field.field}" if several and field.field else ""
        yield f"What is left after the grain{of_field}", [*_left(field, units)]
        yield labels()["left"]["credits_title"].replace(":", f"{of_field}:", 1), [*_credits(field, units)]
    level = format_share(basis.level)
    yield (
        "How to read it",
        [
            f"Interval: holds the share in {level} of such cases, as far as the samples tell. Samples: legume + "
            "reference. Reference: how far it lies from air. Shares are as they come out, also below 0 and above 100 %."
        ],
    )
    judged = [row.row for row in basis.rows if row.grade is Grade.JUDGEMENT]
    yield (
        "Rest on judgement (grade C)",
        [f"{', '.join(judged)}.", "`spadework source ID` tells more of each."] if (judged) else [],
    )


def _of(field: FieldMeasurement, sentence: str, several: bool) -> str:
    return f"{field.field}: {sentence}" if several and field.field else sentence


def _said(measured: Sequence[FieldMeasurement], lines: Callable[[MeasuredShare], list[str]]) -> Iterator[str]:
    for field in measured:
        for one in field.methods:
            name = (
                f"{field.field}, {_METHODS[one.method]}" if len(measured) > 1 and field.field else _METHODS[one.method]
            )
            for line in lines(one):
                yield (
                    f"{name[0].upper()}{name[1:]}: {line}"
                    if not field.field or len(measured) < 2
                    else f"{name}: {line}"
                )


def _left(field: FieldMeasurement, units: ReportUnits) -> Iterator[str]:
    def told(quantity: Quantity) -> str:
        return format_quantity(quantity, units)

    for one in field.methods:
        if one.left is not None:
            yield (
                f"By {_METHODS[one.method]}: fixed {told(one.left.fixed_whole)} with roots; less the grain's, "
                f"{told(one.left.net_whole)} with roots and {told(one.left.net_shoot)} without."
            )
    if field.grain_nitrogen is None or field.residue_shoot is None or field.residue_below_ground is None:
        return
    yield (
        f"Taken away with the grain: {told(field.grain_nitrogen)}. Left, fixed or not: "
        f"{told(field.residue_shoot)} in shoot residue, {told(field.residue_below_ground)} below ground."
    )


def _credits(field: FieldMeasurement, units: ReportUnits) -> Iterator[str]:
    yield from credit_lines(field.credits, units=units, texts=labels())
    if any(credit.in_soil_test for credit in field.credits):
        yield labels()["left"]["test_later"]


Cell = str | int | float | None


@dataclass(frozen=True)
class _Column:
    heading: str
    cell: Callable[[FieldMeasurement, MeasuredShare], Cell]


def _percent(value: float | None) -> float | None:
    return None if value is None else 100 * value


def _three(
    heading: str, unit: str, quantity: Callable[[FieldMeasurement, MeasuredShare], Quantity | None]
) -> tuple[_Column, ...]:
    """Return the columns of a figure and of both ends of its interval."""
    factor = 100 if unit == "percent" else 1

    def part(name: str) -> Callable[[FieldMeasurement, MeasuredShare], Cell]:
        def cell(field: FieldMeasurement, one: MeasuredShare) -> Cell:
            value = getattr(quantity(field, one), name, None)
            return None if value is None else factor * value

        return cell

    return (
        _Column(f"{heading}_{unit}", part("value")),
        _Column(f"{heading}_low_{unit}", part("low")),
        _Column(f"{heading}_high_{unit}", part("high")),
    )


COLUMNS: tuple[_Column, ...] = (
    _Column("field", lambda field, _: field.field),
    _Column("crop", lambda field, _: field.crop.value),
    _Column("method", lambda _, one: one.method),
    *_three("share", "percent", lambda _, one: one.share),
    _Column("interval_level_percent", lambda _, one: _percent(one.share.level if one.share else None)),
    _Column("standard_error_percent", lambda _, one: _percent(one.standard_error)),
    _Column("legume_samples", lambda _, one: one.legume_samples),
    _Column("reference_samples", lambda _, one: one.reference_samples),
    _Column("reference", lambda _, one: one.reference.value if one.reference else None),
    _Column("reference_unit", lambda _, one: one.reference.unit if one.reference else None),
    _Column("reference_quality", lambda _, one: one.quality),
    _Column("b_value_permil", lambda _, one: one.b_value.value if one.b_value else None),
    _Column("index_percent", lambda _, one: _percent(one.index.value if one.index else None)),
    *_three("fixed_shoot", "kg_ha", lambda _, one: one.fixed_shoot),
    *_three("fixed_whole", "kg_ha", lambda _, one: one.left.fixed_whole if one.left else None),
    *_three("net_shoot", "kg_ha", lambda _, one: one.left.net_shoot if one.left else None),
    *_three("net_whole", "kg_ha", lambda _, one: one.left.net_whole if one.left else None),
    _Column("grain_n_kg_ha", lambda field, _: field.grain_nitrogen.value if field.grain_nitrogen else None),
    _Column("refused", lambda _, one: None if one.refused is None else render(one.refused)),
    _Column("warnings", lambda field, one: " ".join(render(line) for line in (*one.warnings, *field.warnings))),
)
"""Columns of the CSV, one row a field and method. New ones go to the end, so that scripts keep working."""


def _as_csv(measured: Sequence[FieldMeasurement], basis: Basis) -> str:
    return csv_text(
        [*(column.heading for column in COLUMNS), "knowledge"],
        [
            [*(column.cell(field, one) for column in COLUMNS), basis.knowledge_hash]
            for field in measured
            for one in field.methods
        ],
    )


def _as_json(measured: Sequence[FieldMeasurement], basis: Basis) -> str:
    from pydantic import TypeAdapter

    document = {
        "schema": LABORATORY_SCHEMA_ID,
        "version": __version__,
        "fields": TypeAdapter(list[FieldMeasurement]).dump_python(list(measured), mode="json"),
        "basis": asdict(basis),
    }
    return json.dumps(document, indent=2, ensure_ascii=False, allow_nan=False) + "\n"
