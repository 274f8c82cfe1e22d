"""The two invented districts: the Orrelby Plain in the north, the Tamberrow country in the south.

Neither exists. Latitudes are those of real farming belts, so that day length and season fit the crops;
longitudes lie in mid-ocean (Atlantic in the north, Indian Ocean in the south), so that no dot on a map falls
on anybody's land.
"""

from __future__ import annotations

import datetime as dt

from spadework.demo.weather import Spell, Station

__all__ = ["REGION", "STATIONS"]

REGION = "Orrelby Plain and Tamberrow country (invented)"

_D = dt.date

STATIONS: tuple[Station, ...] = (
    Station(
        station="ridge",
        latitude=51.2,
        longitude=-32.1,
        mean=3.5,
        swing=15.5,
        warmest=198,
        range_dry=14,
        wet_chance=0.25,
        rain_mean=5.5,
        first_day=_D(2026, 3, 1),
    ),
    # The cold spring: a month and a half well below the usual.
    Station(
        station="mill",
        latitude=51.6,
        longitude=-31.4,
        mean=2.8,
        swing=15.5,
        warmest=198,
        range_dry=13,
        wet_chance=0.27,
        rain_mean=5.5,
        first_day=_D(2026, 3, 1),
        spells=(Spell(_D(2026, 4, 18), _D(2026, 6, 5), warmer_by=-4.5),),
    ),
    Station(
        station="long-acre",
        latitude=46.4,
        longitude=-33.0,
        mean=7.5,
        swing=15.5,
        warmest=198,
        range_dry=13,
        wet_chance=0.3,
        rain_mean=8,
        first_day=_D(2026, 3, 1),
    ),
    # A dry start to the southern winter.
    Station(
        station="saltpan",
        latitude=-34.6,
        longitude=85.4,
        mean=16.5,
        swing=7,
        warmest=20,
        range_dry=12,
        wet_chance=0.22,
        rain_mean=5,
        first_day=_D(2026, 4, 1),
        spells=(Spell(_D(2026, 5, 2), _D(2026, 5, 21), wet=False),),
    ),
    # Wet in early August; single days, a few days and most of a fortnight are missing from its record.
    Station(
        station="redgate",
        latitude=-36.1,
        longitude=86.2,
        mean=14,
        swing=6.5,
        warmest=20,
        range_dry=11,
        wet_chance=0.3,
        rain_mean=6,
        first_day=_D(2026, 4, 1),
        spells=(Spell(_D(2026, 7, 31), _D(2026, 8, 8), wet=True),),
        blank_days=(_D(2026, 6, 3), _D(2026, 6, 20), _D(2026, 6, 21)),
        lost=((_D(2026, 7, 2), _D(2026, 7, 4)), (_D(2026, 7, 18), _D(2026, 7, 29))),
    ),
    # Summer crops across the new year; no normals, and a station that stood still for most of February.
    Station(
        station="creek",
        latitude=-27.8,
        longitude=84.7,
        mean=20.5,
        swing=6,
        warmest=20,
        range_dry=13,
        wet_chance=0.28,
        rain_mean=9,
        first_day=_D(2025, 11, 15),
        lost=((_D(2026, 2, 1), _D(2026, 3, 8)),),
        has_normals=False,
    ),
)
