"""The files of a prescription, as they are handed to whoever drives."""

from __future__ import annotations

import datetime as dt
import io
import zipfile
from collections.abc import Mapping, Sequence

from spadework.advice.rescue.value import CheckStrip, FailedPart, RescueOption
from spadework.report.prescription import COLUMNS, Zone, geojson_text, outline_of, shapefile_parts, zones_of
from spadework.report.task_data import TASK_FILE, task_data_text

__all__ = ["prescription_files", "zipped"]

_EARLIEST = (1980, 1, 1, 0, 0, 0)
"""Time of day means nothing in the archive; this is the first that the format can hold."""


def zipped(files: Mapping[str, bytes]) -> bytes:
    """Return files as a ZIP archive that is the same on every machine and day; nothing in it is packed."""
    archive = io.BytesIO()
    with zipfile.ZipFile(archive, "w", compression=zipfile.ZIP_STORED) as out:
        for name, content in files.items():
            entry = zipfile.ZipInfo(name, date_time=_EARLIEST)
            entry.create_system = 3
            out.writestr(entry, content)
    return archive.getvalue()


def prescription_files(
    stem: str, field: str, option: RescueOption, part: FailedPart, strip: CheckStrip | None, *, on: dt.date
) -> dict[str, bytes]:
    """Return the prescription of a field as files by name.

    GeoJSON, the shapefile in an archive, the task data of ISO 11783-10 in another, and what the columns mean. ``stem``
    begins each name; ``on`` is the day for which it is written. Raises DomainError as ``zones_of``.
    """
    zones = zones_of(field, option, part, strip)
    legend = _legend(zones).encode("utf-8")
    shape = {f"{stem}.{ending}": content for ending, content in shapefile_parts(zones, on=on).items()}
    return {
        f"{stem}.geojson": geojson_text(zones).encode("utf-8"),
        f"{stem}-shapefile.zip": zipped({**shape, f"{stem}.txt": legend}),
        f"{stem}-task-data.zip": zipped({TASK_FILE: task_data_text(zones, outline_of(part)).encode("utf-8")}),
        f"{stem}.txt": legend,
    }


def _legend(zones: Sequence[Zone]) -> str:
    lines = [
        "Prescription in longitude and latitude on WGS84. Read it again on the machine's own screen before spreading,",
        "and keep to the label, to local rules and to distances from water.",
        "",
        *(f"{name:<10}  {meaning}" for name, meaning in COLUMNS.items()),
        "",
    ]
    lines += [
        f"zone {each['zone']} ({each['kind']}): {each['area_ha']:g} ha, {each['prod_rate']:g} {each['prod_unit']} "
        f"of product ({each['rate_kg_ha']:g} kg/ha of nitrogen), {each['prod_total']:.0f} "
        f"{each['prod_unit'].removesuffix('/ha')} in all"
        for each in (zone.attributes for zone in zones)
    ]
    return "\n".join(lines) + "\n"
