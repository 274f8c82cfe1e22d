"""Rules between rows and tables. Each kind with its words is in test_faults; here are their limits."""

import pytest
from tests.records.tiny import BOOK, DIGS, FIELDS, PLANTS, WEATHER, tiny_book

from spadework.records.read import check_book


def kinds(folder, **files):
    return [fault.kind for fault in check_book(tiny_book(folder, **files))[1]]


@pytest.mark.parametrize(
    ("sown", "expected"),
    [
        ("2026-06-24", []),
        ("2026-06-25", ["digs.date.before_sowing"]),
        ("2025-05-20", []),
        ("2025-05-19", ["digs.date.long_after_sowing"]),
    ],
)
def test_a_dig_on_the_day_of_sowing_or_400_days_on_is_still_possible(sown, expected, tmp_path):
    assert kinds(tmp_path, fields=FIELDS.replace("2026-05-04,2026-05-18", f"{sown},")) == expected


@pytest.mark.parametrize(("today", "expected"), [("06-24", []), ("06-23", ["digs.date.in_future"])])
def test_a_dig_today_is_not_in_the_future(today, expected, tmp_path):
    assert kinds(tmp_path, book=BOOK.replace("08-01", today)) == expected


def test_plants_of_a_day_to_come_are_told_once_where_digs_does_not_have_that_day(tmp_path):
    folder = tiny_book(tmp_path, plants=PLANTS.replace("2026-06-24", "2026-08-24"))

    book, faults = check_book(folder)

    assert book is None
    assert [(fault.kind, fault.line, fault.severity) for fault in faults] == [("plants.date.in_future", 2, "error")]


def test_without_today_nothing_is_in_the_future(tmp_path):
    assert kinds(tmp_path, book=BOOK.replace("today = 2026-08-01\n", "")) == []


def test_equal_highs_and_lows_are_possible(tmp_path):
    assert kinds(tmp_path, weather=WEATHER.replace("17.5,4.0", "4.0,4.0")) == []


def test_figures_are_shown_in_the_unit_of_the_book(tmp_path):
    folder = tiny_book(
        tmp_path, book=BOOK + '[units]\ntemperature = "degF"\n', weather=WEATHER.replace("17.5,4.0", "40,61.5")
    )

    _, (fault,) = check_book(folder)

    assert fault.what == "TMIN (61.5 degF) is above TMAX (40 degF) at station hill."


def test_the_day_of_expiry_still_counts(tmp_path):
    text = "field,form,expires_on\nwest,peat,2026-05-04\n"

    assert kinds(tmp_path, inoculation=text) == []


def test_weather_of_a_field_is_not_asked_for_where_no_station_is_named(tmp_path):
    assert kinds(tmp_path, fields=FIELDS.replace("hill", ""), weather=None) == []


def test_normals_alone_are_weather_enough_for_a_station(tmp_path):
    normals = "station,month,TMAX,TMIN\n" + "".join(f"hill,{month},20,5\n" for month in range(1, 13))

    assert kinds(tmp_path, weather=None, normals=normals) == []


def test_nothing_is_concluded_from_a_table_that_could_not_be_read(tmp_path):
    broken = b"\xff\xff\xff"

    assert kinds(tmp_path / "a", weather=broken) == ["file.encoding"]
    assert kinds(tmp_path / "b", digs=broken) == ["file.encoding"]
    assert kinds(tmp_path / "c", fields=broken) == ["file.encoding"]


def test_a_dig_row_at_fault_is_still_the_dig_of_its_plants(tmp_path):
    assert kinds(tmp_path, digs=DIGS.replace("61", "161")) == ["number.out_of_bounds"]
    assert kinds(tmp_path, digs=DIGS.replace("2026-06-24", "24/6/26")) == ["date.year_of_two_digits"]


def test_a_missing_dig_is_said_once_for_all_its_plants(tmp_path):
    assert kinds(tmp_path, digs=None) == ["plants.dig.missing"]


def test_an_unknown_field_is_said_for_each_row(tmp_path):
    found = kinds(tmp_path, plants=PLANTS.replace("west", "south"))

    assert found == ["plants.field.unknown", "plants.dig.missing", "plants.field.unknown"]


def test_many_unknown_fields_do_not_all_get_a_suggestion(tmp_path):
    rows = "".join(f"west{number},{number},stored\n" for number in range(1, 60))

    _, faults = check_book(tiny_book(tmp_path, handling="field,step,what\n" + rows))

    hints = ["Did you mean" in fault.mend for fault in faults if fault.kind == "handling.field.unknown"]
    assert len(hints) == 59
    assert hints == [True] * 30 + [False] * 29


def test_two_named_scorers_of_a_plant_are_welcome(tmp_path):
    text = "field,date,stop,plant,scorer\nwest,2026-06-24,1,1,A\nwest,2026-06-24,1,1,B\n"

    assert kinds(tmp_path, plants=text) == []
