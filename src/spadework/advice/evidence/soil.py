"""Findings from soil tests and soil texture: nitrate, pH, salt, molybdenum and sand."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterator, Sequence

from spadework.advice.diagnosis.value import Evidence
from spadework.advice.evidence.layers import newest_layers, nitrate_within
from spadework.advice.evidence.rule import limit_for, ramp, tell
from spadework.advice.evidence.seen import Seen
from spadework.advice.message import Scalar
from spadework.knowledge.rows import ANY_CROP, Crop, Measured
from spadework.records.types import PhMethod, SoilTestRow, Texture

__all__ = ["soil"]

_MM = 10.0
"""Millimetres in a centimetre: depths of soil tests are in cm, limits in mm."""


def soil(seen: Seen) -> Iterator[Evidence]:
    """All that soil tests and texture say."""
    yield from _high_nitrate(seen)
    yield from _acid_soil(seen)
    yield from _alkaline_soil(seen)
    yield from _acid_low_molybdenum(seen)
    yield from _salty_soil(seen)
    yield from _sandy_soil(seen)


# ------------------------------------------------------------------ nitrate
def _high_nitrate(seen: Seen) -> Iterator[Evidence]:
    """Nitrate above the crop's limit; a test taken after the dig can say yes, never no, for plants take nitrate up."""
    limit = limit_for("nitrate", seen)
    depth, least = limit_for("nitrate_depth", seen), limit_for("nitrate_least_depth", seen)
    age = dt.timedelta(days=limit_for("nitrate_age", seen).central)
    tests = [row for row in seen.records.soil_tests if row.date >= seen.last_day - age]
    before = newest_layers(tests, "nitrate_n", until=seen.last_day)
    layers = before or newest_layers(tests, "nitrate_n", until=seen.today)
    nitrate, covered = nitrate_within(layers, bottom=depth.central / _MM)
    over = nitrate > limit.central
    if not over and (not before or covered * _MM < least.central):
        return
    rule = "nitrate_as_in_pea" if limit.crop == ANY_CROP else "nitrate"
    values: dict[str, Scalar] = {"nitrate": nitrate, "limit": limit.central, "depth": covered, "day": layers[0].date}
    yield tell("high_nitrate", float(over), rule, values, (limit, depth, least))


# ------------------------------------------------------------------ pH
def _acid_soil(seen: Seen) -> Iterator[Evidence]:
    """An acid layer in the root zone. Of lupin it says nothing: its rhizobia do well in acid soil."""
    layers = _root_zone(seen, "ph")
    if seen.crop is Crop.LUPIN or not layers:
        return
    limits = {PhMethod.CACL2: limit_for("acid_cacl2", seen), PhMethod.WATER: limit_for("acid_water", seen)}
    lowest = min(layers, key=lambda row: row.ph or 0.0)
    states = [_by_any_method(row, {method: _acid(row, limit) for method, limit in limits.items()}) for row in layers]
    if 1.0 in states:
        sure = 1.0
    elif None in states or not _deep_enough(layers, seen):
        return
    else:
        sure = 0.0
    used = [limits[method] for method in _methods(lowest)]
    yield tell("acid_soil", sure, "acid", _ph_values(lowest), used)


def _acid(row: SoilTestRow, limit: Measured) -> float | None:
    """1 below the limit's low end, 0 from its high end on, unknown between: the two methods are not exchangeable."""
    ph = row.ph or 0.0
    low, high = limit.range
    return 1.0 if ph < low else 0.0 if ph >= high else None


def _alkaline_soil(seen: Seen) -> Iterator[Evidence]:
    layers = _root_zone(seen, "ph")
    if not layers:
        return
    limits = {PhMethod.CACL2: limit_for("alkaline_cacl2", seen), PhMethod.WATER: limit_for("alkaline_water", seen)}
    highest = max(layers, key=lambda row: row.ph or 0.0)
    states = [
        _by_any_method(row, {method: ramp(row.ph or 0.0, limit) for method, limit in limits.items()}) for row in layers
    ]
    known = [sure for sure in states if sure is not None]
    sure = max(known, default=0.0)
    if sure < 1.0 and (None in states or not _deep_enough(layers, seen)):
        return
    used = [limits[method] for method in _methods(highest)]
    yield tell("alkaline_soil", sure, "alkaline", _ph_values(highest), used)


def _acid_low_molybdenum(seen: Seen) -> Iterator[Evidence]:
    """Not short of molybdenum for acidity where no layer is acid; what was spread is not in the records."""
    layers = _root_zone(seen, "ph")
    limit = limit_for("molybdenum_ph", seen)
    if layers and min(row.ph or 0.0 for row in layers) > limit.central and _deep_enough(layers, seen):
        lowest = min(layers, key=lambda row: row.ph or 0.0)
        yield tell("acid_low_molybdenum", 0.0, "molybdenum", _ph_values(lowest), (limit,))


def _methods(row: SoilTestRow) -> tuple[PhMethod, ...]:
    """The methods that a reading may be of: its own, or both where nobody wrote it down."""
    return (row.ph_method,) if row.ph_method is not None else (PhMethod.CACL2, PhMethod.WATER)


def _by_any_method(row: SoilTestRow, sures: dict[PhMethod, float | None] | dict[PhMethod, float]) -> float | None:
    """What a reading says by its method; where that is not known, only what both methods say alike."""
    said = {sures[method] for method in _methods(row)}
    return said.pop() if len(said) == 1 else None


def _ph_values(row: SoilTestRow) -> dict[str, Scalar]:
    return {"ph": row.ph, "top": row.depth_top, "bottom": row.depth_bottom}


# ------------------------------------------------------------------ salt and sand
def _salty_soil(seen: Seen) -> Iterator[Evidence]:
    """Salt above the crop's limit; between what is surely harmless and the limit nobody knows."""
    layers = _root_zone(seen, "ec")
    if not layers:
        return
    limit = limit_for("salt", seen)
    low, high = limit.range
    worst = max(layers, key=lambda row: row.ec or 0.0)
    ec = worst.ec or 0.0
    if ec > high or (ec <= low and _deep_enough(layers, seen)):
        values = {"ec": ec, "limit": high, "harmless": low}
        yield tell("salty_soil", float(ec > high), "salt", values, (limit,))


def _sandy_soil(seen: Seen) -> Iterator[Evidence]:
    texture = seen.records.field.soil_texture
    if texture is not None:
        yield tell("sandy_soil", float(texture is Texture.SAND), "sand", {"texture": str(texture)})


# ------------------------------------------------------------------ layers
def _root_zone(seen: Seen, column: str) -> list[SoilTestRow]:
    """Layers of the newest test that begin in the root zone; pH and salt hold, so that a test after the dig counts."""
    zone = limit_for("root_zone", seen).central / _MM
    return [row for row in newest_layers(seen.records.soil_tests, column, until=seen.today) if row.depth_top < zone]


def _deep_enough(layers: Sequence[SoilTestRow], seen: Seen) -> bool:
    """Whether enough of the root zone was sampled to say that there is none of it anywhere."""
    reached = 0.0
    for row in layers:
        if row.depth_top > reached:
            break
        reached = max(reached, row.depth_bottom)
    return reached * _MM >= limit_for("root_zone_least", seen).central
