"""Each kind of fault: one tiny book with one thing wrong, and what is said about it.

The messages are the product here. Each case says where the fault must be found, and words that its two
sentences must hold: the value seen, or what is allowed.
"""

from typing import NamedTuple

import pytest
from tests.records.tiny import BOOK, DIGS, FIELDS, PLANTS, WEATHER, tiny_book

from spadework.errors import BookFaults
from spadework.records.read import check_book, read_book


class Case(NamedTuple):
    kind: str
    files: dict[str, str | bytes | None]
    file: str
    line: int | None
    column: str | None
    words: tuple[str, ...]
    severity: str = "error"


def plants(old: str, new: str) -> dict[str, str | bytes | None]:
    assert PLANTS.count(old) >= 1
    return {"plants": PLANTS.replace(old, new, 1)}


def fields(old: str, new: str) -> dict[str, str | bytes | None]:
    assert FIELDS.count(old) >= 1
    return {"fields": FIELDS.replace(old, new, 1)}


def weather(old: str, new: str) -> dict[str, str | bytes | None]:
    assert WEATHER.count(old) >= 1
    return {"weather": WEATHER.replace(old, new, 1)}


def soil(row: str) -> dict[str, str | bytes | None]:
    return {"soil_tests": f"field,date,depth_top,depth_bottom,ph,ph_method,nitrate_n\n{row}\n"}


def inoculation(row: str) -> dict[str, str | bytes | None]:
    return {"inoculation": f"field,form,placement,lot,expires_on,hours_to_sowing\n{row}\n"}


NORMALS = "station,month,TMAX,TMIN\n" + "".join(f"hill,{month},20,5\n" for month in range(1, 13))
FIRST = "west,2026-06-24,1,1,12,11-20,5,4,1,0,4\n"

CASES = [
    # The folder.
    Case("book.settings.missing", {"book": None}, "book.toml", None, None, ("no book.toml", "[book]", "season")),
    Case("book.fields.missing", {"fields": None}, "fields.csv", None, None, ("no fields.csv", "crop")),
    Case(
        "book.table.misnamed",
        {"digs": None, "plants": None, "dig": DIGS},
        "dig.csv",
        None,
        None,
        ("dig.csv is not one of the tables", "digs.csv"),
    ),
    Case("book.table.unknown", {"yields": "a,b\n"}, "yields.csv", None, None, ("yields.csv", "plants.csv"), "warning"),
    # The file.
    Case(
        "file.encoding",
        {"fields": FIELDS.encode() + "süd,pea,,,hill\n".encode("cp1252")},
        "fields.csv",
        3,
        None,
        ("0xFC", "'ü'", "UTF-8"),
    ),
    Case("file.encoding", {"digs": DIGS.encode("utf-16")}, "digs.csv", 1, None, ("UTF-16", "CSV UTF-8")),
    Case("file.nul_byte", plants("12,11", "1\x002,11"), "plants.csv", 2, None, ("NUL", "0x00", "CSV UTF-8")),
    Case("file.quote.unclosed", plants("0,4\n", '0,"4\n'), "plants.csv", 2, None, ("quotation mark", "double")),
    Case("file.quote.stray", plants("0,4\n", '0,"4"5\n'), "plants.csv", 2, None, ("after its closing", "double")),
    Case("file.cell.too_long", plants("0,4\n", f"0,{'4' * 200_000}\n"), "plants.csv", 2, None, ("131,072",)),
    Case("file.empty", {"digs": ""}, "digs.csv", None, None, ("no heading line", "field, date")),
    # Headings and rows.
    Case(
        "table.column.unknown", plants("vigour", "vigor"), "plants.csv", 1, "vigor", ("'vigor'", "Did you mean vigour")
    ),
    Case(
        "table.column.twice",
        plants("white", "red_pink"),
        "plants.csv",
        1,
        "red_pink",
        ("column 8 and column 9", "Take one"),
    ),
    Case("table.column.missing", plants("stop", "note"), "plants.csv", 1, "stop", ("stop is missing", "for example")),
    Case("table.column.unnamed", plants("white", ""), "plants.csv", 1, None, ("Column 9", "'1'", "Name it")),
    Case(
        "table.row.extra_cells", plants("0,4\n", "0,4,5\n"), "plants.csv", 2, None, ("12 cells", "11 headings", "'5'")
    ),
    Case(
        "table.row.extra_cells",
        weather("05,19,5,0\n", "05,19,5,5,0,\n"),
        "weather.csv",
        3,
        None,
        ("7 cells", "5 headings", '"3,5"'),
    ),
    Case("table.row.few_cells", plants(",0,4\n", ",4\n"), "plants.csv", 2, None, ("10 cells", "11 headings", "comma")),
    Case(
        "table.no_rows",
        {"fields": "field,crop\n", "digs": None, "plants": None},
        "fields.csv",
        None,
        None,
        ("no row", "each field"),
    ),
    # Any cell.
    Case(
        "cell.required",
        plants("24,1,1,", "24,,1,"),
        "plants.csv",
        2,
        "stop",
        ("every row needs stop", "for example with 1"),
    ),
    Case(
        "cell.too_long",
        plants("24,1,1", "24,1,plant number twenty-one"),
        "plants.csv",
        2,
        "plant",
        ("23 char", "20 char"),
    ),
    Case("cell.control_character", plants("24,1,1", "24,1,1\x0b1"), "plants.csv", 2, "plant", ("0x0B", "'1 1'")),
    Case("cell.missing_word", plants("0,4\n", "0,n/a\n"), "plants.csv", 2, "vigour", ("'n/a'", "Write 0", "empty")),
    Case("cell.missing_word", fields("2026-05-18", "unknown"), "fields.csv", 2, "emerged_on", ("'unknown'", "Leave")),
    Case("cell.spreadsheet_error", plants("0,4\n", "0,#DIV/0!\n"), "plants.csv", 2, "vigour", ("#DIV/0!", "formula")),
    # Numbers.
    Case("number.unreadable", plants("0,4\n", "0,strong\n"), "plants.csv", 2, "vigour", ("'strong'", "from 0 to 5")),
    Case("number.not_finite", plants("0,4\n", "0,NaN\n"), "plants.csv", 2, "vigour", ("'NaN'", "empty")),
    Case("number.not_finite", plants("0,4\n", "0,-inf\n"), "plants.csv", 2, "vigour", ("'-inf'", "from 0 to 5")),
    Case("number.out_of_bounds", plants("0,4\n", "0,7\n"), "plants.csv", 2, "vigour", ("'7'", "from 0 to 5")),
    Case(
        "number.out_of_bounds",
        {"book": BOOK + '[units]\ntemperature = "degF"\n', **weather("17.5", "150")},
        "weather.csv",
        2,
        "TMAX",
        ("'150'", "from -76 to 140 [degF]"),
    ),
    Case(
        "number.with_unit",
        weather("3.2", "3.2 mm"),
        "weather.csv",
        2,
        "RAIN",
        ("'3.2 mm'", "Write 3.2 alone", "[units]"),
    ),
    Case(
        "whole.share",
        plants("5,4,1", "5,80%,1"),
        "plants.csv",
        2,
        "red_pink",
        ("'80%' is a share", "how many there were"),
    ),
    Case(
        "count.share", plants("12,11", "80 %,11"), "plants.csv", 2, "crown_nodules", ("'80 %' is a share", "count (12)")
    ),
    Case("number.grouped", weather("3.2", "1 200"), "weather.csv", 2, "RAIN", ("'1 200'", "thousands", "1250")),
    Case("number.two_ways", weather("3.2", '"1,250"'), "weather.csv", 2, "RAIN", ("1.250 or 1250", "decimal =")),
    Case(
        "number.mixed_marks",
        weather("hill,2026-05-05,19,5,0", 'hill,2026-05-05,"19,5",5,0'),
        "weather.csv",
        3,
        "TMAX",
        ("'19,5'", "'17.5'", "line 2", "decimal ="),
    ),
    Case(
        "number.decimal_mark",
        {"book": BOOK + '[files]\ndecimal = "point"\n', **weather("3.2", '"3,2"')},
        "weather.csv",
        2,
        "RAIN",
        ("'3,2'", "','", 'decimal = "point"'),
    ),
    Case("whole.decimals", plants("20,5,4", "20,4.5,4"), "plants.csv", 2, "cut_open", ("'4.5'", "from 0 to 500")),
    # Dates.
    Case(
        "date.unreadable",
        fields("2026-05-18", "18 May 2026"),
        "fields.csv",
        2,
        "emerged_on",
        ("'18 May 2026'", "2026-06-25"),
    ),
    Case(
        "date.two_ways",
        fields("2026-05-18", "08/05/2026"),
        "fields.csv",
        2,
        "emerged_on",
        ("'08/05/2026'", "2026-05-08 or 2026-08-05", "order ="),
    ),
    Case(
        "date.not_in_calendar",
        fields("2026-05-18", "2026-05-32"),
        "fields.csv",
        2,
        "emerged_on",
        ("'2026-05-32'", "day 32"),
    ),
    Case(
        "date.not_in_calendar",
        {"book": BOOK + '[dates]\norder = "dmy"\n', **fields("2026-05-18", "05/18/2026")},
        "fields.csv",
        2,
        "emerged_on",
        ("'05/18/2026'", "month 18"),
    ),
    Case(
        "date.year_of_two_digits",
        fields("2026-05-18", "18/05/26"),
        "fields.csv",
        2,
        "emerged_on",
        ("'18/05/26'", "two digits", "2026-06-25"),
    ),
    Case(
        "date.with_time",
        fields("2026-05-18", "2026-05-18 14:30"),
        "fields.csv",
        2,
        "emerged_on",
        ("'2026-05-18 14:30'", "2026-05-18."),
    ),
    # Day number of a spreadsheet that counts from 1900: 46160 is 2026-05-18.
    Case(
        "date.day_number",
        fields("2026-05-18", "46160"),
        "fields.csv",
        2,
        "emerged_on",
        ("'46160'", "2026-05-18", "Format"),
    ),
    Case(
        "date.out_of_bounds",
        fields("2026-05-18", "0226-05-18"),
        "fields.csv",
        2,
        "emerged_on",
        ("'0226-05-18'", "1900", "2100"),
    ),
    # Words.
    Case(
        "choice.unknown",
        fields("pea", "faba beans"),
        "fields.csv",
        2,
        "crop",
        ("'faba beans'", "Did you mean faba_bean", "lentil"),
    ),
    Case(
        "yes_no.unknown",
        {"fields": "field,crop,station,host_grown_before\nwest,pea,hill,often\n"},
        "fields.csv",
        2,
        "host_grown_before",
        ("'often'", "yes or no"),
    ),
    # Counts.
    Case(
        "count.unreadable",
        plants("12,11-20", "many,11-20"),
        "plants.csv",
        2,
        "crown_nodules",
        ("'many'", "11-20", ">50"),
    ),
    Case(
        "count.negative",
        plants("12,11-20", "-3,11-20"),
        "plants.csv",
        2,
        "crown_nodules",
        ("'-3'", "0 or more", "nobody counted"),
    ),
    Case("count.reversed", plants("11-20", "20-11"), "plants.csv", 2, "lateral_nodules", ("'20-11'", "11-20")),
    Case(
        "count.decimals",
        plants("12,11-20", "12.5,11-20"),
        "plants.csv",
        2,
        "crown_nodules",
        ("'12.5'", "not an average"),
    ),
    Case(
        "count.too_large",
        plants("12,11-20", "46346,11-20"),
        "plants.csv",
        2,
        "crown_nodules",
        ("'46346'", "5000", "day"),
    ),
    Case(
        "count.spreadsheet_date",
        plants("11-20", "20-Nov"),
        "plants.csv",
        2,
        "lateral_nodules",
        ("'20-Nov'", "11-20", "as text"),
    ),
    # book.toml.
    Case("settings.syntax", {"book": BOOK + "seed = \n"}, "book.toml", 5, None, ("no TOML", "name = value")),
    Case(
        "settings.missing",
        {"book": '[book]\ntitle = "Tiny"\n'},
        "book.toml",
        None,
        "book.season",
        ("season", 'season = "2026"'),
    ),
    Case(
        "settings.unknown",
        {"book": BOOK + "sead = 3\n"},
        "book.toml",
        5,
        "book.sead",
        ("'sead'", "Did you mean seed", "title"),
    ),
    Case(
        "settings.unknown",
        {"book": BOOK + '[unit]\nrain = "in"\n'},
        "book.toml",
        5,
        "unit",
        ("'unit'", "Did you mean units"),
    ),
    Case(
        "settings.unknown",
        {"book": BOOK + '[units]\nrainfall = "in"\n'},
        "book.toml",
        6,
        "units.rainfall",
        ("'rainfall'", "rain"),
    ),
    Case(
        "settings.type", {"book": BOOK + 'seed = "three"\n'}, "book.toml", 5, "book.seed", ("'three'", "whole number")
    ),
    Case(
        "settings.unit", {"book": BOOK + '[units]\nrain = "inch"\n'}, "book.toml", 6, "units.rain", ("'inch'", "mm, in")
    ),
    Case(
        "settings.crop",
        {"book": BOOK + '[schemes.target]\npeas = "x"\n'},
        "book.toml",
        6,
        "schemes.target.peas",
        ("'peas'", "Did you mean pea"),
    ),
    Case(
        "settings.choice",
        {"book": BOOK + '[dates]\norder = "ymd"\n'},
        "book.toml",
        6,
        "dates.order",
        ("'ymd'", "dmy", "mdy"),
    ),
    Case(
        "settings.out_of_bounds",
        {"book": BOOK + "[sampling]\nsettle_at = 90\n"},
        "book.toml",
        6,
        "sampling.settle_at",
        ("90", "0.5", "0.9"),
    ),
    # Between cells, rows and tables.
    *(
        Case(
            f"{table}.row.twice", files, f"{table}.csv", line, column, ("there twice", f"line {first}", "Take one out")
        )
        for table, files, line, column, first in (
            ("fields", {"fields": FIELDS + "west,lentil,,,hill\n"}, 3, "field", 2),
            ("digs", {"digs": DIGS + "west,2026-06-24,62,nodule\n"}, 3, "date", 2),
            ("plants", {"plants": PLANTS + FIRST}, 4, "scorer", 2),
            ("weather", {"weather": WEATHER + "hill,2026-05-04,18,4,0\n"}, 4, "W_DATE", 2),
            ("normals", {"normals": NORMALS + "hill,12,20,5\n"}, 14, "month", 13),
            (
                "soil_tests",
                soil("west,2026-04-11,0,15,6.1,water,32\nwest,2026-04-11,0,30,6.1,water,32"),
                3,
                "depth_top",
                2,
            ),
            ("inoculation", inoculation("west,peat,seed,L-1,,\nwest,peat,seed,L-1,,"), 3, "lot", 2),
            ("handling", {"handling": "field,step,what\nwest,1,stored\nwest,1,sown\n"}, 3, "step", 2),
            (
                "observations",
                {"observations": "field,date,subject,value\n" + "west,2026-06-24,leaves,pale\n" * 2},
                3,
                "stop",
                2,
            ),
        )
    ),
    *(
        Case(f"{table}.field.unknown", files, f"{table}.csv", 2, "field", ("'wets'", "Did you mean west", "fields.csv"))
        for table, files in (
            ("digs", {"digs": "field,date\nwets,2026-06-24\n", "plants": None}),
            ("soil_tests", soil("wets,2026-04-11,0,15,6.1,water,32")),
            ("inoculation", inoculation("wets,peat,seed,L-1,,")),
            ("handling", {"handling": "field,step,what\nwets,1,stored\n"}),
            ("observations", {"observations": "field,date,subject,value\nwets,2026-06-24,leaves,pale\n"}),
        )
    ),
    Case(
        "fields.emergence.before_sowing",
        fields("2026-05-18", "2026-05-01"),
        "fields.csv",
        2,
        "emerged_on",
        ("2026-05-01", "2026-05-04", "Correct"),
    ),
    Case(
        "fields.emergence.late",
        {**fields("2026-05-04", "2026-01-04"), "digs": None, "plants": None},
        "fields.csv",
        2,
        "emerged_on",
        ("134 days", "2026-01-04"),
        "warning",
    ),
    Case(
        "fields.host.contradicts",
        {"fields": "field,crop,station,host_grown_before,host_last_year\nwest,pea,hill,no,2021\n"},
        "fields.csv",
        2,
        "host_grown_before",
        ("no", "2021", "Correct one"),
    ),
    Case(
        "fields.host_last_year.after_sowing",
        {"fields": "field,crop,sown_on,station,host_last_year\nwest,pea,2026-05-04,hill,2027\n"},
        "fields.csv",
        2,
        "host_last_year",
        ("2027", "2026-05-04"),
    ),
    Case(
        "fields.maturity_group.not_soybean",
        {"fields": "field,crop,station,maturity_group\nwest,pea,hill,00\n"},
        "fields.csv",
        2,
        "maturity_group",
        ("pea", "'00'", "soybean"),
        "warning",
    ),
    Case(
        "fields.maturity_group.unknown",
        {"fields": "field,crop,station,maturity_group\nwest,soybean,hill,early\n"},
        "fields.csv",
        2,
        "maturity_group",
        ("'early'", "not understood", "000", "I to X"),
        "warning",
    ),
    Case(
        "fields.station.unknown",
        fields("hill", "hil"),
        "fields.csv",
        2,
        "station",
        ("'hil'", "Did you mean hill"),
    ),
    Case(
        "fields.station.no_weather",
        fields("hill", "coast"),
        "fields.csv",
        2,
        "station",
        ("'coast'", "weather.csv", "degree-day"),
        "warning",
    ),
    Case(
        "digs.date.before_sowing",
        {"fields": FIELDS.replace("2026-05-04,2026-05-18", "2026-06-25,")},
        "digs.csv",
        2,
        "date",
        ("2026-06-24", "2026-06-25", "fields.csv line 2"),
    ),
    Case(
        "digs.date.before_emergence",
        fields("2026-05-18", "2026-06-25"),
        "digs.csv",
        2,
        "date",
        ("2026-06-24", "2026-06-25", "fields.csv line 2"),
        "warning",
    ),
    Case(
        "digs.date.long_after_sowing",
        {"fields": FIELDS.replace("2026-05-04,2026-05-18", "2025-05-04,2025-05-18")},
        "digs.csv",
        2,
        "date",
        ("416 days", "2025-05-04", "year"),
    ),
    Case(
        "digs.date.in_future",
        {"book": BOOK.replace("08-01", "06-01")},
        "digs.csv",
        2,
        "date",
        ("2026-06-24", "2026-06-01", "today"),
    ),
    Case(
        "plants.date.in_future",
        {"plants": PLANTS.replace("2026-06-24", "2026-08-24")},
        "plants.csv",
        2,
        "date",
        ("2026-08-24", "2026-08-01", "today"),
    ),
    Case(
        "digs.counting_unit.differs",
        {"digs": DIGS + "west,2026-07-08,65,cluster\n"},
        "digs.csv",
        3,
        "counting_unit",
        ("cluster", "nodule", "2026-06-24", "line 2"),
        "warning",
    ),
    Case(
        "plants.dig.missing",
        {"digs": DIGS.replace("06-24", "06-23")},
        "plants.csv",
        2,
        "date",
        ("2026-06-24", "2026-06-23", "digs.csv"),
        "warning",
    ),
    Case(
        "plants.colour.more_than_cut",
        plants("5,4,1,0", "5,4,2,0"),
        "plants.csv",
        2,
        "cut_open",
        ("6 nodules", "only 5", "stop 1"),
    ),
    Case(
        "plants.colour.fewer_than_cut",
        plants("5,4,1,0", "5,3,1,0"),
        "plants.csv",
        2,
        "cut_open",
        ("4", "5", "not recorded"),
        "warning",
    ),
    Case(
        "plants.cut.taken_as_sum",
        plants("5,4,1,0", ",4,1,0"),
        "plants.csv",
        2,
        "cut_open",
        ("sum", "Fill in cut_open"),
        "warning",
    ),
    Case(
        "plants.cut.missing",
        plants("5,4,1,0", ",4,1,"),
        "plants.csv",
        2,
        "cut_open",
        ("some colours", "Fill in"),
        "warning",
    ),
    Case(
        "plants.cut.more_than_nodules",
        plants("12,11-20", "1,2-3"),
        "plants.csv",
        2,
        "cut_open",
        ("4 nodules at most", "5", "2-3"),
    ),
    Case(
        "plants.cut.without_nodules",
        plants("12,11-20", "0,0"),
        "plants.csv",
        2,
        "cut_open",
        ("no nodules", "5", "write 0"),
    ),
    Case(
        "plants.scorer.missing",
        {
            "plants": PLANTS.replace("stop,plant", "scorer,stop,plant")
            .replace("24,1,1", "24,A,1,1")
            .replace("24,1,2", "24,,1,1")
        },
        "plants.csv",
        3,
        "scorer",
        ("Plant 1 of stop 1", "line 2, scorer A", "who scored"),
        "warning",
    ),
    Case(
        "weather.missing_marker",
        weather("3.2", "-99.0"),
        "weather.csv",
        2,
        "RAIN",
        ("1 cell", "'-99.0'", "empty"),
        "warning",
    ),
    Case(
        "weather.temperature.reversed",
        weather("17.5,4.0", "4.0,17.5"),
        "weather.csv",
        2,
        "TMIN",
        ("17.5 degC", "4 degC", "Swap"),
    ),
    Case(
        "normals.temperature.reversed",
        {"normals": NORMALS.replace("6,20,5", "6,5,20")},
        "normals.csv",
        7,
        "TMIN",
        ("20 degC", "5 degC", "Swap"),
    ),
    Case(
        "normals.month.missing",
        {"normals": NORMALS.replace("hill,6,20,5\n", "")},
        "normals.csv",
        2,
        "month",
        ("hill", "month 6"),
        "warning",
    ),
    Case(
        "soil_tests.depth.reversed",
        soil("west,2026-04-11,15,0.5,6.1,water,32"),
        "soil_tests.csv",
        2,
        "depth_bottom",
        ("0.5 cm", "15 cm", "Swap"),
    ),
    Case(
        "soil_tests.ph_method.missing",
        soil("west,2026-04-11,0,15,6.1,,32"),
        "soil_tests.csv",
        2,
        "ph_method",
        ("6.1", "cacl2"),
        "warning",
    ),
    Case(
        "inoculation.expired",
        inoculation("west,peat,seed,L-1,2025-12-31,6"),
        "inoculation.csv",
        2,
        "expires_on",
        ("2025-12-31", "2026-05-04"),
        "warning",
    ),
    Case(
        "inoculation.none_with_details",
        inoculation("west,none,seed,,,"),
        "inoculation.csv",
        2,
        "placement",
        ("none", "placement", "peat"),
    ),
]


def test_the_tiny_book_is_in_order(tmp_path):
    book, faults = check_book(tiny_book(tmp_path))

    assert faults == ()
    assert book is not None
    assert [plant.line for plant in book.plants] == [2, 3]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.kind)
def test_one_slip_gives_one_fault_with_its_place_and_a_way_to_mend_it(case, tmp_path):
    book, faults = check_book(tiny_book(tmp_path, **case.files))

    assert [(fault.kind, fault.file, fault.line, fault.column, fault.severity) for fault in faults] == [
        (case.kind, case.file, case.line, case.column, case.severity)
    ]
    (fault,) = faults
    assert fault.what.endswith(".")
    assert fault.mend
    for word in case.words:
        assert word in f"{fault.what} {fault.mend}"
    assert (book is None) == (case.severity == "error")


def test_there_are_more_than_forty_kinds():
    assert len({case.kind for case in CASES}) >= 40


def test_all_faults_come_back_together_in_the_order_of_the_files(tmp_path):
    folder = tiny_book(
        tmp_path,
        book=BOOK + "sead = 3\n",
        fields=FIELDS.replace("pea", "peas"),
        plants=PLANTS.replace("12,11-20", "-3,20-11").replace("4.5", "9"),
    )

    with pytest.raises(BookFaults) as caught:
        read_book(folder)

    assert [(fault.file, fault.line, fault.column) for fault in caught.value.faults] == [
        ("book.toml", 5, "book.sead"),
        ("fields.csv", 2, "crop"),
        ("plants.csv", 2, "crown_nodules"),
        ("plants.csv", 2, "lateral_nodules"),
        ("plants.csv", 3, "vigour"),
    ]


def test_a_folder_that_is_not_there_is_one_fault(tmp_path):
    book, (fault,) = check_book(tmp_path / "nowhere")

    assert book is None
    assert fault.kind == "book.folder"
    assert "spadework new" in fault.mend


def test_a_folder_in_the_place_of_a_table_is_one_fault(tmp_path):
    folder = tiny_book(tmp_path, digs=None)
    (folder / "digs.csv").mkdir()

    _, (fault,) = check_book(folder)

    assert (fault.kind, fault.file) == ("file.unreadable", "digs.csv")


def test_a_mistyped_unit_does_not_cast_doubt_on_every_number(tmp_path):
    folder = tiny_book(
        tmp_path, book=BOOK + '[units]\ntemperature = "F"\n', weather=WEATHER.replace("17.5,4.0", "88,65")
    )

    _, faults = check_book(folder)

    assert [fault.kind for fault in faults] == ["settings.unit"]


def test_settings_that_cannot_be_read_cast_no_doubt_on_what_they_decide(tmp_path):
    folder = tiny_book(
        tmp_path,
        book=BOOK + "units = [\n",
        fields=FIELDS.replace("2026-05-04", "04/05/2026"),
        weather=WEATHER.replace("17.5,4.0", "88,65"),
        plants=PLANTS.replace("4.5", "strong"),
    )

    _, faults = check_book(folder)

    assert [fault.kind for fault in faults] == ["settings.syntax", "number.unreadable"]


def test_a_fault_in_a_fields_row_is_not_repeated_for_all_that_name_the_field(tmp_path):
    _, faults = check_book(tiny_book(tmp_path, fields=FIELDS.replace("2026-05-04", "04/05/2026")))

    assert [fault.kind for fault in faults] == ["date.two_ways"]
