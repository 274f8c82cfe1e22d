"""A prescription as task data of ISO 11783-10, for terminals that read no map of another kind.

The library writes the format; here it is only filled in: one task with a treatment zone for each zone of the
prescription. Outside of all zones, and where the position is lost, nothing is spread.
"""

from __future__ import annotations

from collections.abc import Sequence

import isoxml.models.base.v4 as iso
from isoxml.converter.shapely_geom import ShapelyConverterV4
from isoxml.util.isoxml_io import isoxml_to_text
from shapely import MultiPolygon

import spadework
from spadework.agronomy.ground.plane import Polygons, area_of, geometry_of
from spadework.errors import DomainError
from spadework.report.prescription import Zone

__all__ = ["TASK_FILE", "task_data_text"]

TASK_FILE = "TASKDATA/TASKDATA.XML"
"""Where terminals look for it."""

_SETPOINTS = {"kg/ha": (6, 100), "L/ha": (1, 10_000)}
"""Data dictionary entry of the rate by unit of product, and how many of its steps are one unit.

Entry 6, mass per area in mg/m2: 1 kg/ha is 100 mg/m2. Entry 1, volume per area in steps of 0.01 mm3/m2: 1 L/ha is
100 mm3/m2.
"""
_NOTHING = 0
"""Code of the zone that holds outside of all others."""
_LONGEST = 32
"""Signs of a name in the format."""


def task_data_text(zones: Sequence[Zone], outline: Polygons) -> str:
    """Return the task data (version 4.3) of a prescription; ``outline`` is the boundary of the field.

    Raises DomainError where no zone is treated.
    """
    treated = next((zone for zone in zones if zone.attributes["kind"] == "treat"), None)
    if treated is None:
        raise DomainError("zones", len(zones), "zones of which one is treated")
    entry, steps = _SETPOINTS[treated.attributes["prod_unit"]]
    product = iso.Product(id="PDT1", designator=_short(treated.attributes["product"]))
    field = iso.Partfield(
        id="PFD1",
        designator=_short(treated.attributes["field"]),
        area=round(area_of(outline)),
        polygons=_polygons(outline, iso.PolygonType.PartfieldBoundary),
    )

    def rate(product_rate: float) -> list[iso.ProcessDataVariable]:
        value = round(product_rate * steps)
        setpoint = iso.ProcessDataVariable(
            process_data_ddi=entry.to_bytes(2, "big"), process_data_value=value, product_id_ref=product.id
        )
        return [setpoint]

    task = iso.Task(
        id="TSK1",
        designator=_short(f"Nitrogen {treated.attributes['field']}"),
        partfield_id_ref=field.id,
        status=iso.TaskStatus.Planned,
        default_treatment_zone_code=_NOTHING,
        position_lost_treatment_zone_code=_NOTHING,
        out_of_field_treatment_zone_code=_NOTHING,
        product_allocations=[iso.ProductAllocation(product_id_ref=product.id)],
        treatment_zones=[
            iso.TreatmentZone(code=_NOTHING, designator="nothing", process_data_variables=rate(0.0)),
            *(
                iso.TreatmentZone(
                    code=zone.attributes["zone"],
                    designator=zone.attributes["kind"],
                    process_data_variables=rate(zone.attributes["prod_rate"]),
                    polygons=_polygons(zone.polygons, iso.PolygonType.TreatmentZone),
                )
                for zone in zones
            ),
        ],
    )
    document = iso.Iso11783TaskData(
        management_software_manufacturer="Spadework",
        management_software_version=spadework.__version__,
        data_transfer_origin=iso.Iso11783TaskDataDataTransferOrigin.FMIS,
        products=[product],
        partfields=[field],
        tasks=[task],
    )
    return str(isoxml_to_text(document))


def _short(text: str) -> str:
    return text[:_LONGEST]


def _polygons(polygons: Polygons, kind: iso.PolygonType) -> list[iso.Polygon]:
    shape: MultiPolygon = geometry_of(polygons)
    return [ShapelyConverterV4().to_iso_polygon(piece, poly_type=kind) for piece in shape.geoms]
