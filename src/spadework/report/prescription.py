"""A prescription for the spreader or sprayer: zones with their rates as GeoJSON and as a shapefile.

Both are in longitude and latitude on WGS84. The check strip is a zone of rate 0, and so is the ground of the field that
gets nothing. The same decision gives the same bytes.
"""

from __future__ import annotations

import datetime as dt
import io
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

import shapefile

from spadework.advice.messages import catalogue
from spadework.advice.rescue.ground import treated_ground
from spadework.advice.rescue.value import CheckStrip, FailedPart, RescueOption
from spadework.agronomy.ground.plane import Polygons, area_of, ground_within, polygons_from, without
from spadework.agronomy.rescue.products import amount_on
from spadework.errors import DomainError
from spadework.records.units import from_inside
from spadework.report.labels import labels

__all__ = ["COLUMNS", "Zone", "geojson_text", "outline_of", "shapefile_parts", "zones_of"]

_LEAST_PIECE = 10.0
"""Pieces of other zones below this are left out. [m2]"""
_DECIMALS = 7
"""Of a degree, as many as ``STEP`` has."""
_WGS84 = (
    'GEOGCS["GCS_WGS_1984",DATUM["D_WGS_1984",SPHEROID["WGS_1984",6378137.0,298.257223563]],'
    'PRIMEM["Greenwich",0.0],UNIT["Degree",0.0174532925199433]]'
)


COLUMNS: Mapping[str, str] = MappingProxyType(
    {
        "zone": "number of the zone",
        "kind": "treat: nitrogen is given; check: the check strip, left without; rest: ground that needs none",
        "field": "name of the field in the book",
        "prod_rate": "PRODUCT to spread, in prod_unit: set the machine to this one",
        "prod_unit": "kg/ha, or L/ha of a liquid",
        "prod_us": "the same in us_unit",
        "us_unit": "lb/ac, or US gal/ac of a liquid; international acre",
        "prod_total": "product for the whole zone, kg, or L of a liquid",
        "rate_kg_ha": "nitrogen in it, kg/ha: not the weight of product",
        "rate_lb_ac": "nitrogen in it, lb/ac: not the weight of product",
        "product": "kind of product",
        "area_ha": "area of the zone, ha",
        "area_ac": "area of the zone, international acres",
    }
)
"""Attributes of a zone and what they mean; a shapefile allows ten characters for a name."""

_NUMBERS = {"prod_rate": 1, "prod_us": 2, "prod_total": 0, "rate_kg_ha": 1, "rate_lb_ac": 1, "area_ha": 3, "area_ac": 3}
"""Decimals of the numbers."""
_WIDTHS = {"kind": 8, "field": 80, "prod_unit": 8, "us_unit": 12, "product": 80}
_US = {"kg/ha": ("mass_per_area", "lb/ac", "lb/ac"), "L/ha": ("volume_per_area", "gal/ac", "US gal/ac")}


@dataclass(frozen=True)
class Zone:
    """Ground with one rate: its polygons and its attributes by the names of ``COLUMNS``."""

    polygons: Polygons
    attributes: Mapping[str, Any]


def zones_of(field: str, option: RescueOption, part: FailedPart, strip: CheckStrip | None) -> tuple[Zone, ...]:
    """Zones of a field where nitrogen is given: the part less the check strip, the strip, and the rest of the field.

    Raises DomainError where ``option`` gives nothing.
    """
    if option.option != "apply" or option.product is None or option.product_rate is None:
        raise DomainError("option", option.option, "one that gives nitrogen")
    failed = polygons_from(part.rings, part.holes)
    check: Polygons = ()
    if strip is not None and strip.ring is not None:
        check = without(((strip.ring,),), (), least=_LEAST_PIECE)
    grounds = (
        ("treat", treated_ground(part, strip)),
        ("check", check),
        ("rest", without(outline_of(part), (*failed, *check), least=_LEAST_PIECE)),
    )
    return tuple(
        Zone(polygons, _attributes(number, kind, field, option, polygons))
        for number, (kind, polygons) in enumerate([each for each in grounds if each[1]], start=1)
    )


def outline_of(part: FailedPart) -> Polygons:
    """The field that a part lies in, with its pieces and holes.

    Further rings are pieces outside the first one, or holes in it or in them: each turns what it bounds from ground to
    none, or back.
    """
    return ground_within((part.outline, *part.more_outline))


def _attributes(number: int, kind: str, field: str, option: RescueOption, polygons: Polygons) -> dict[str, Any]:
    assert option.product_rate is not None  # noqa: S101 - zones_of takes no other
    given = kind == "treat"
    measure, unit, shown = _US[option.product_rate.unit]
    product_rate = option.product_rate.value if given else 0.0
    nitrogen = option.rate.value if given else 0.0
    hectares = area_of(polygons) / 1e4
    values: dict[str, Any] = {
        "zone": number,
        "kind": kind,
        "field": field,
        "prod_rate": product_rate,
        "prod_unit": option.product_rate.unit,
        "prod_us": from_inside(product_rate, measure=measure, unit=unit),
        "us_unit": shown,
        "prod_total": amount_on(rate=product_rate, area=hectares),
        "rate_kg_ha": nitrogen,
        "rate_lb_ac": from_inside(nitrogen, measure="mass_per_area", unit="lb/ac"),
        "product": _product_name(option.product) if given and option.product else "",
        "area_ha": hectares,
        "area_ac": from_inside(hectares, measure="area", unit="ac"),
    }
    return {name: round(value, _NUMBERS[name]) if name in _NUMBERS else value for name, value in values.items()}


def _product_name(product: str) -> str:
    """A name that fits into every file."""
    short: str | None = labels()["product_short"].get(product)
    return short or catalogue()[f"rescue.product.{product}.name"]


def geojson_text(zones: Sequence[Zone]) -> str:
    """Return the zones as a GeoJSON FeatureCollection (RFC 7946), a feature a line."""
    features = ",\n".join(
        json.dumps(
            {
                "type": "Feature",
                "id": zone.attributes["zone"],
                "properties": dict(zone.attributes),
                "geometry": {"type": "MultiPolygon", "coordinates": _rounded(zone.polygons)},
            },
            ensure_ascii=False,
        )
        for zone in zones
    )
    return f'{{"type": "FeatureCollection", "features": [\n{features}\n]}}\n'


def _rounded(polygons: Polygons) -> list[list[list[list[float]]]]:
    return [[[[round(x, _DECIMALS), round(y, _DECIMALS)] for x, y in ring] for ring in rings] for rings in polygons]


def shapefile_parts(zones: Sequence[Zone], *, on: dt.date) -> dict[str, bytes]:
    """Return the files of a shapefile by their endings (shp, shx, dbf, prj, cpg); ``on`` is the date written in it."""
    shp, shx, dbf = io.BytesIO(), io.BytesIO(), io.BytesIO()
    with shapefile.Writer(shp=shp, shx=shx, dbf=dbf, shapeType=shapefile.POLYGON, encoding="utf-8") as writer:
        for name in COLUMNS:
            if name in _WIDTHS:
                writer.field(name, "C", size=_WIDTHS[name])
            else:
                writer.field(name, "N", size=14, decimal=_NUMBERS.get(name, 0))
        for zone in zones:
            writer.shape({"type": "MultiPolygon", "coordinates": _rounded(zone.polygons)})
            writer.record(**zone.attributes)
    table = bytearray(dbf.getvalue())
    # The table says when it was last changed, as years since 1900, month and day: the day of the prescription.
    table[1:4] = bytes((on.year - 1900, on.month, on.day))
    return {
        "shp": shp.getvalue(),
        "shx": shx.getvalue(),
        "dbf": bytes(table),
        "prj": _WGS84.encode("ascii"),
        "cpg": b"UTF-8",
    }
