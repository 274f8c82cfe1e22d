"""The demo's places: two hemispheres, nobody's land."""

from spadework.demo.places import STATIONS


def test_two_hemispheres_and_four_to_six_stations() -> None:
    assert 4 <= len(STATIONS) <= 6
    assert {station.latitude > 0 for station in STATIONS} == {True, False}


def test_every_station_lies_far_out_at_sea() -> None:
    # Open water by the atlas: the North Atlantic between 25 and 40 W, 45 and 55 N; the Indian Ocean between
    # 80 and 95 E, 25 and 40 S. Neither box holds an island.
    for station in STATIONS:
        north = 45 < station.latitude < 55 and -40 < station.longitude < -25
        south = -40 < station.latitude < -25 and 80 < station.longitude < 95
        assert north or south, station.station


def test_the_warmest_day_falls_in_each_hemispheres_summer() -> None:
    for station in STATIONS:
        assert (150 < station.warmest < 250) == (station.latitude > 0)
