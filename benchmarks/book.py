"""Books of any size, drawn the way the demo season is."""

import datetime as dt

from spadework.demo.draws import Draws
from spadework.demo.places import STATIONS
from spadework.demo.plants import Nodulation, Writing, dig_plants
from spadework.demo.season import TODAY
from spadework.demo.weather import daily_weather, monthly_normals
from spadework.knowledge.rows import Crop
from spadework.records.types import Book, DigRow, FieldRow, PlantRow, Settings

STOPS, PLANTS_PER_STOP = 3, 10

# Crop, station, sowing, days to emergence and to the dig, stage seen, nodules a plant of a well nodulated crop.
CROPS = (
    (Crop.PEA, "ridge", dt.date(2026, 5, 4), 11, 51, 55, 110),
    (Crop.SOYBEAN, "long-acre", dt.date(2026, 5, 25), 9, 47, 62, 28),
    (Crop.FABA_BEAN, "saltpan", dt.date(2026, 5, 14), 17, 80, 61, 120),
    (Crop.LENTIL, "ridge", dt.date(2026, 5, 10), 11, 50, 60, 30),
)
# Good, middling, poor and patchy roots as multiples of a well nodulated crop's mean; then how they are written down.
STATES = (
    (Nodulation(mean=1.0), Writing()),
    (Nodulation(mean=0.5, k=5), Writing()),
    (Nodulation(mean=0.08, k=2), Writing()),
    (Nodulation(mean=1.0, stop_factors=(1.0, 0.1, 1.0)), Writing()),
    (Nodulation(mean=0.7, k=5), Writing(in_classes=1.0)),
    (Nodulation(mean=0.7, k=5), Writing(uncut=0.3)),
    (Nodulation(mean=0.7, k=5), Writing(cut=0)),
)


def many_fields(count: int, *, seed: int = 1) -> Book:
    """Make a book of ``count`` fields with 30 plants each; the first fields are the same for any count."""
    fields, digs, plants = [], [], []
    for number in range(count):
        field, dig, rows = _field(number, seed)
        fields.append(field)
        digs.append(dig)
        plants.extend(rows)
    return Book(
        settings=Settings(title=f"{count} fields", season="2026", today=TODAY, seed=seed),
        fields=tuple(fields),
        digs=tuple(digs),
        plants=tuple(plants),
        weather=tuple(
            row for station in STATIONS for row in daily_weather(station, last_day=TODAY - dt.timedelta(1), seed=seed)
        ),
        normals=tuple(row for station in STATIONS for row in monthly_normals(station)),
    )


def _field(number: int, seed: int) -> tuple[FieldRow, DigRow, list[PlantRow]]:
    name = f"f{number:05d}"
    crop, station, sown, up_after, dug_after, stage, usual = CROPS[number % len(CROPS)]
    roots, writing = STATES[number % len(STATES)]
    place = next(place for place in STATIONS if place.station == station)
    later = dt.timedelta(number % 5)
    on = sown + later + dt.timedelta(dug_after)
    field = FieldRow(
        field=name,
        name=f"Block {number + 1}",
        grower=f"Grower {number // 20 + 1}",
        crop=crop,
        latitude=place.latitude,
        longitude=place.longitude,
        sown_on=sown + later,
        emerged_on=sown + later + dt.timedelta(up_after),
        station=station,
    )
    rows = dig_plants(
        Draws(seed, name),
        field=name,
        date=on,
        stops=STOPS,
        plants_per_stop=PLANTS_PER_STOP,
        nodulation=Nodulation(
            mean=roots.mean * usual, k=roots.k, stop_spread=roots.stop_spread, stop_factors=roots.stop_factors
        ),
        writing=writing,
    )
    return field, DigRow(field=name, date=on, stage_bbch=stage, scorer="A", counting_unit="nodule"), list(rows)
