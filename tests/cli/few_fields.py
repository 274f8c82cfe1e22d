"""A few fields of the invented season as a book of their own: quick to write, to read and to decide on."""

from dataclasses import replace

from spadework.records.types import Prices
from spadework.records.write import write_book

TABLES = (
    "fields",
    "digs",
    "plants",
    "soil_tests",
    "inoculation",
    "handling",
    "observations",
    "applied",
    "stops",
    "boundaries",
)


def book_of(season, folder, *names, **settings):
    """Write these fields with the weather of their stations and settings of the test's own."""
    kept = {table: tuple(row for row in getattr(season, table) if row.field in names) for table in TABLES}
    stations = {row.station for row in kept["fields"]}
    sky = {
        table: tuple(row for row in getattr(season, table) if row.station in stations)
        for table in ("weather", "normals")
    }
    plain = replace(season.settings, title="Some fields", prices=Prices(), **settings)
    write_book(replace(season, **kept, **sky, settings=plain), folder)
    return folder
