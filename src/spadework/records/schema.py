"""The book format for machines (Data Package, Table Schema) and for people, both made from the row types."""

from __future__ import annotations

import datetime as dt
from collections.abc import Sequence
from fractions import Fraction
from typing import Any

from spadework.records.boundary import boundary_resource
from spadework.records.columns import ColumnPlan, Kind, columns_of, table_name
from spadework.records.counts import COUNT_PATTERN
from spadework.records.dialect import SEPARATORS
from spadework.records.tables import WEATHER_MISSING
from spadework.records.types import TABLES, FieldRow, Record, Settings, WeatherRow
from spadework.records.units import MEASURES, UCUM, unit_of

__all__ = ["columns_markdown", "data_package", "refreshed", "table_schema", "table_schemas"]

_PACKAGE_PROFILE = "https://datapackage.org/profiles/2.0/datapackage.json"
_SCHEMA_PROFILE = "https://datapackage.org/profiles/2.0/tableschema.json"
_BEGIN = "<!-- tables: made by spadework.records.schema.refreshed, not by hand -->"
_END = "<!-- end of tables -->"
_INSIDE = Settings(title="", season="")
_TYPES = {
    Kind.TEXT: "string",
    Kind.CHOICE: "string",
    Kind.COUNT: "string",
    Kind.WHOLE: "integer",
    Kind.NUMBER: "number",
    Kind.DATE: "date",
    Kind.YES_NO: "boolean",
}


def table_schemas(settings: Settings = _INSIDE) -> dict[str, dict[str, Any]]:
    """Return the Table Schema of every table by its name, in the units of the settings (inside units if none)."""
    return {table_name(table): table_schema(table, settings) for table in TABLES}


def table_schema(table: type[Record], settings: Settings = _INSIDE) -> dict[str, Any]:
    """Return the Table Schema (Data Package 2.0) of one table."""
    plans = columns_of(table)
    schema: dict[str, Any] = {
        "$schema": _SCHEMA_PROFILE,
        "fields": [_field(plan, settings) for plan in plans],
        "missingValues": ["", *WEATHER_MISSING] if table is WeatherRow else [""],
    }
    # A primary key may hold no empty cell; where part of ours may be empty, the standard has unique keys.
    required = {plan.name for plan in plans if plan.required}
    if required.issuperset(table.key):
        schema["primaryKey"] = list(table.key)
    else:
        schema["uniqueKeys"] = [list(table.key)]
    if table is not FieldRow and "field" in required:
        reference = {"resource": table_name(FieldRow), "fields": ["field"]}
        schema["foreignKeys"] = [{"fields": ["field"], "reference": reference}]
    return schema


def data_package(
    settings: Settings, tables: Sequence[type[Record]] = TABLES, *, outlines: bool = False
) -> dict[str, Any]:
    """Return the Data Package descriptor of a book that holds these tables, and outlines of fields or none."""
    return {
        "$schema": _PACKAGE_PROFILE,
        "name": "spadework-book",
        "title": f"{settings.title}, {settings.season}",
        "resources": [
            {
                "name": table_name(table),
                "title": table.title,
                "type": "table",
                "path": table.file,
                "format": "csv",
                "mediatype": "text/csv",
                "encoding": "utf-8",
                "dialect": {"delimiter": SEPARATORS[settings.separator or "comma"]},
                "schema": table_schema(table, settings),
            }
            for table in tables
        ]
        + [boundary_resource()] * outlines,
    }


def _unit_name(plan: ColumnPlan, settings: Settings) -> str | None:
    return settings.units.get(plan.measure, plan.meaning.unit) if plan.measure else plan.meaning.unit


def _field(plan: ColumnPlan, settings: Settings) -> dict[str, Any]:
    field: dict[str, Any] = {
        "name": plan.name,
        "type": _TYPES[plan.kind],
        "description": plan.meaning.description,
        "example": plan.meaning.example,
    }
    unit = _unit_name(plan, settings)
    if unit is not None:
        field |= {"unit": unit, "ucum": UCUM[unit]}
    if plan.kind is Kind.YES_NO:
        field |= {"trueValues": ["yes"], "falseValues": ["no"]}
    if plan.kind is Kind.NUMBER and settings.decimal_mark == "comma":
        field["decimalChar"] = ","
    field["constraints"] = _constraints(plan, settings)
    return field


def _constraints(plan: ColumnPlan, settings: Settings) -> dict[str, Any]:
    constraints: dict[str, Any] = {"required": plan.required}
    if plan.kind is Kind.COUNT:
        constraints["pattern"] = COUNT_PATTERN
    if plan.choices is not None:
        constraints["enum"] = list(map(str, plan.choices))
    if plan.max_length is not None:
        constraints["maxLength"] = plan.max_length
    if plan.low is not None:
        constraints["exclusiveMinimum" if plan.low_is_open else "minimum"] = _bound(plan.low, plan, settings)
    if plan.high is not None:
        constraints["maximum"] = _bound(plan.high, plan, settings)
    return constraints


def _bound(bound: Any, plan: ColumnPlan, settings: Settings) -> Any:
    if isinstance(bound, dt.date):
        return bound.isoformat()
    unit = settings.units.get(plan.measure) if plan.measure else None
    if plan.measure is None or unit is None:
        return bound
    return float(unit_of(plan.measure, unit).outward(Fraction(bound)))


def columns_markdown() -> str:
    """Return a chapter for each table with a line for each column: what it means, what it may hold, an example."""
    parts = []
    for table in TABLES:
        parts.append(f"### {table.title}: `{table.file}`\n")
        parts.append(f"{table.__doc__} A row is told apart by {', '.join(f'`{name}`' for name in table.key)}.\n")
        parts.append("| column | must | holds | meaning | example |")
        parts.append("|---|---|---|---|---|")
        parts += [
            f"| `{plan.name}` | {'yes' if plan.required else ''} | {_holds(plan)} | {plan.meaning.description} "
            f"| `{plan.meaning.example}` |"
            for plan in columns_of(table)
        ]
        parts.append("")
    return "\n".join(parts)


def refreshed(page: str) -> str:
    """Return a page with the chapters on the tables, between the two marks, written anew."""
    before, _, rest = page.partition(_BEGIN)
    _, _, after = rest.partition(_END)
    return f"{before}{_BEGIN}\n\n{columns_markdown()}\n{_END}{after}"


def _holds(plan: ColumnPlan) -> str:
    if plan.choices is not None:
        return ", ".join(f"`{choice}`" for choice in plan.choices)
    if plan.kind is Kind.TEXT:
        return f"text, up to {plan.max_length} characters"
    text = str(plan.kind)
    if plan.kind in (Kind.WHOLE, Kind.NUMBER) and plan.low is not None:
        text += f", above {plan.low:g} to {plan.high:g}" if plan.low_is_open else f", {plan.low:g} to {plan.high:g}"
    if plan.measure is not None:
        inside, *others = MEASURES[plan.measure]
        return f"{text} {inside}; or {', '.join(others)} [`{plan.measure}`]"
    return f"{text} {plan.meaning.unit}" if plan.meaning.unit else text
