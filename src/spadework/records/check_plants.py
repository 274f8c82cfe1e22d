"""What must agree within a plant: colours, nodules cut open, nodules counted."""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping, Sequence

from spadework.errors import Fault
from spadework.records.types import CountingUnit, PlantRow

__all__ = ["check_plants"]

UnitByDig = Mapping[tuple[str, dt.date], CountingUnit | None]


def check_plants(
    rows: Sequence[PlantRow], *, file: str, counting_units: UnitByDig
) -> tuple[tuple[PlantRow, ...], list[Fault]]:
    """Return the rows, with ``cut_open`` filled in where all three colours were counted without it, and the faults.

    ``counting_units`` says what was counted at each dig; a dig that is not in it counts as unknown.
    """
    checked: list[PlantRow] = []
    faults: list[Fault] = []
    summed: list[PlantRow] = []
    useless: list[PlantRow] = []
    for row in rows:
        plant = row
        colours = (row.red_pink, row.white, row.green_brown)
        if colours != (None, None, None):
            if row.cut_open is None and None not in colours:
                plant = row.model_copy(update={"cut_open": sum(colours)})
                summed.append(row)
            elif row.cut_open is None:
                useless.append(row)
        if plant.cut_open is not None:
            faults += _colour_faults(plant, file)
            faults += _cut_faults(plant, file, counting_units.get((row.field, row.date)))
        checked.append(plant)
    if summed:
        faults.append(
            _warning(
                file,
                summed,
                "plants.cut.taken_as_sum",
                "has the three colours but not how many were cut open, which is taken as their sum.",
                "Fill in cut_open to be rid of this warning.",
            )
        )
    if useless:
        faults.append(
            _warning(
                file,
                useless,
                "plants.cut.missing",
                "has some colours but not how many were cut open, so that no share can be worked out.",
                "Fill in cut_open, or all three colours.",
            )
        )
    return tuple(checked), faults


def _plant(row: PlantRow) -> str:
    return f"Plant {row.plant} of stop {row.stop}"


def _colour_faults(row: PlantRow, file: str) -> list[Fault]:
    assert row.cut_open is not None  # noqa: S101 - the caller looked
    colours = (row.red_pink, row.white, row.green_brown)
    total = sum(colour or 0 for colour in colours)
    if total > row.cut_open:
        return [
            Fault(
                file,
                row.line,
                "cut_open",
                "plants.colour.more_than_cut",
                f"{_plant(row)} has {total} nodules by colour, but only {row.cut_open} were cut open.",
                f"Correct the colours, or write {total} as cut_open.",
            )
        ]
    if total < row.cut_open and None not in colours:
        return [
            Fault(
                file,
                row.line,
                "cut_open",
                "plants.colour.fewer_than_cut",
                f"{_plant(row)} has {total} nodules by colour, but {row.cut_open} were cut open; "
                f"the colour of {row.cut_open - total} counts as not recorded.",
                f"Correct the colours, or write {total} as cut_open.",
                severity="warning",
            )
        ]
    return []


def _cut_faults(row: PlantRow, file: str, unit: CountingUnit | None) -> list[Fault]:
    """Compare the nodules cut with those counted. A cluster holds many nodules, so that clusters bound nothing."""
    assert row.cut_open is not None  # noqa: S101 - the caller looked
    zones = (row.crown_nodules, row.lateral_nodules)
    if None in zones or any(zone.high is None for zone in zones if zone):
        return []
    most = sum(zone.high for zone in zones if zone and zone.high)
    if row.cut_open <= most or (unit is CountingUnit.CLUSTER and most):
        return []
    if most == 0:
        return [
            Fault(
                file,
                row.line,
                "cut_open",
                "plants.cut.without_nodules",
                f"{_plant(row)} has no nodules, but {row.cut_open} were cut open.",
                "Correct the counts, or write 0 as cut_open and leave the colours empty.",
            )
        ]
    sure = unit is CountingUnit.NODULE
    return [
        Fault(
            file,
            row.line,
            "cut_open",
            "plants.cut.more_than_nodules",
            f"{_plant(row)} has {most} nodules at most, but {row.cut_open} were cut open.",
            f"Correct cut_open or the counts (crown {row.crown_nodules}, lateral {row.lateral_nodules})"
            + ("." if sure else "; if clusters were counted, say so in digs.csv (counting_unit)."),
            severity="error" if sure else "warning",
        )
    ]


def _warning(file: str, rows: Sequence[PlantRow], kind: str, what: str, mend: str) -> Fault:
    more = f" So it is with {len(rows) - 1} more." if len(rows) > 1 else ""
    return Fault(file, rows[0].line, "cut_open", kind, f"{_plant(rows[0])} {what}{more}", mend, severity="warning")
