"""``spadework table-schema``."""

from __future__ import annotations

import json
from enum import StrEnum
from typing import Annotated, Any

import typer

from spadework.cli.screen import show, write_data

__all__ = ["EXAMPLE", "NAME", "SHORT", "Shape", "run"]

NAME = "table-schema"
SHORT = "Explain every column of a book's tables"
EXAMPLE = "\b\nExamples:\n  spadework table-schema plants\n  spadework table-schema --format json"


class Shape(StrEnum):
    """How the columns are printed."""

    TABLE = "table"
    JSON = "json"
    MARKDOWN = "markdown"


def run(
    table: Annotated[
        str | None, typer.Argument(metavar="TABLE", help="Only this table; else all of them.", show_default=False)
    ] = None,
    shape: Annotated[Shape, typer.Option("--format", help="How to print the columns.")] = Shape.TABLE,
) -> None:
    """Explain every column of a book's tables: what it means, what it may hold, its unit, an example.

    With --format json each table is an open Table Schema, as it stands in a book's datapackage.json.
    """
    from spadework.records.schema import columns_markdown, table_schemas

    schemas = table_schemas()
    if table is not None and table.removesuffix(".csv") not in schemas:
        raise typer.BadParameter(
            f"There is no table {table!r}. The tables are {', '.join(schemas)}.", param_hint="TABLE"
        )
    if table is not None:
        schemas = {table.removesuffix(".csv"): schemas[table.removesuffix(".csv")]}
    match shape:
        case Shape.JSON:
            shown = schemas if table is None else next(iter(schemas.values()))
            write_data(json.dumps(shown, indent=2, ensure_ascii=False) + "\n")
        case Shape.MARKDOWN:
            write_data(columns_markdown())
        case Shape.TABLE:
            for name, schema in schemas.items():
                _print_columns(name, schema)


def _print_columns(name: str, schema: dict[str, Any]) -> None:
    from rich import box
    from rich.table import Table
    from rich.text import Text

    table = Table(box=box.SIMPLE_HEAD, padding=(0, 1, 0, 0), pad_edge=False, show_edge=False)
    table.add_column("Column", no_wrap=True)
    table.add_column("Meaning", ratio=3)
    table.add_column("Holds", overflow="fold", ratio=2)
    for field in schema["fields"]:
        must = " *" if field["constraints"]["required"] else ""
        meaning = f"{field['description']}. Example: {field['example']}"
        table.add_row(*map(Text, (field["name"] + must, meaning, _holds(field))))
    show(Text(f"{name}.csv", style="bold"), table)
    typer.echo("* must be filled in; any other cell may stay empty, which means not recorded.\n")


def _holds(field: dict[str, Any]) -> str:
    limits = field["constraints"]
    if "enum" in limits:
        return ", ".join(limits["enum"])
    if limits.get("pattern"):
        return "count or count class"
    words = {"string": "text", "integer": "whole number", "boolean": "yes or no"}
    text = words.get(field["type"], field["type"])
    low = limits.get("minimum", limits.get("exclusiveMinimum"))
    if field["type"] in ("integer", "number") and low is not None:
        text += f", {'above ' if 'exclusiveMinimum' in limits else ''}{low:g} to {limits['maximum']:g}"
    return f"{text} {field['unit']}" if "unit" in field else text
