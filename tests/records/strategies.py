"""Books for property tests: any that could have been written down, in any of the units and marks."""

import datetime as dt
from decimal import Decimal

from hypothesis import strategies as st

from spadework.knowledge.rows import Crop
from spadework.records.book_toml import BOOK_MEASURES
from spadework.records.boundary import FieldBoundary
from spadework.records.columns import Kind, columns_of, table_name
from spadework.records.types import (
    MAX_COUNT,
    TABLES,
    Book,
    CountingUnit,
    CountRange,
    FieldRow,
    InoculantForm,
    InoculationRow,
    LocalBValue,
    LocalTarget,
    LocalUreideLine,
    NormalRow,
    PlantRow,
    Prices,
    RescuePlan,
    Settings,
    SoilTestRow,
    WeatherRow,
)
from spadework.records.units import MEASURES

DAYS = st.dates(dt.date(2026, 6, 1), dt.date(2026, 9, 1))
SOWN = dt.date(2026, 5, 4)
FIELD_IDS = st.sampled_from(("north-12", "=west", "Süd 4", "'quoted'", "@home", "x,y;z"))


def texts(most: int, *, also: str = "\x85") -> st.SearchStrategy[str]:
    """Any text that a cell can hold: no control characters, nothing around it to trim."""
    signs = st.characters(codec="utf-8", exclude_categories=("Cc", "Cs"), include_characters=also)
    return st.text(signs, min_size=1, max_size=most).map(str.strip).filter(bool)


def counts() -> st.SearchStrategy[CountRange]:
    ends = st.tuples(st.integers(0, MAX_COUNT), st.integers(0, MAX_COUNT)).map(sorted)
    closed = ends.map(lambda pair: CountRange(*pair))
    return closed | st.integers(0, MAX_COUNT).map(lambda low: CountRange(low, None))


def numbers(plan) -> st.SearchStrategy[float]:
    """A figure as somebody would write it, or one that came out of a sum, inside the bounds."""
    low, high = float(plan.low), float(plan.high)
    typed = st.decimals(Decimal(str(low)), Decimal(str(high)), allow_nan=False, places=3).map(float)
    summed = st.floats(low, high).map(lambda value: round(value, 12))
    return (typed | summed).filter(lambda value: value > low or not plan.low_is_open)


def _text_cells(plan) -> st.SearchStrategy[str]:
    if plan.name == "field":
        return FIELD_IDS
    return texts(min(plan.max_length, 20), also="\t\n\r\x85" if plan.name == "note" else "\x85")


def cells(plan) -> st.SearchStrategy[object]:
    of_its_kind = {
        Kind.TEXT: lambda: _text_cells(plan),
        Kind.CHOICE: lambda: st.sampled_from(list(plan.choices)),
        Kind.YES_NO: st.booleans,
        Kind.WHOLE: lambda: st.integers(plan.low, plan.high),
        Kind.NUMBER: lambda: numbers(plan),
        Kind.DATE: lambda: DAYS,
        Kind.COUNT: counts,
    }
    return of_its_kind[plan.kind]()


@st.composite
def rows(draw, table, field_ids=None):
    values = {}
    for plan in columns_of(table):
        if plan.name == "field" and field_ids is not None:
            values["field"] = draw(st.sampled_from(field_ids))
        elif plan.required or draw(st.booleans()):
            values[plan.name] = draw(cells(plan))
    return table(**_sensible(table, values))


def _sensible(table, values):
    """Take out what contradicts itself, as a reader would refuse it or fill it in."""
    if table is FieldRow:
        values |= {"sown_on": SOWN}
        values.pop("station", None)
        if values.get("host_grown_before") is False:
            values.pop("host_last_year", None)
        if values.get("host_last_year", 0) > SOWN.year:
            values["host_last_year"] = SOWN.year
    if table is PlantRow:
        for name in ("cut_open", "red_pink", "white", "green_brown"):
            if "crown_nodules" in values and "lateral_nodules" in values:
                values.pop(name, None)
        colours = ("red_pink", "white", "green_brown")
        if "cut_open" not in values:
            values.pop("white", None)
        elif sum(values.get(name, 0) for name in colours) > values["cut_open"]:
            for name in colours:
                values.pop(name, None)
    if table in (WeatherRow, NormalRow) and values.get("TMAX", 99) < values.get("TMIN", -99):
        values["TMAX"], values["TMIN"] = 20.5, values["TMIN"] if values["TMIN"] < 20 else 4.0
    if table is SoilTestRow and values["depth_bottom"] <= values["depth_top"]:
        values["depth_top"], values["depth_bottom"] = 0.0, 15.0
    if table is InoculationRow and values["form"] is InoculantForm.NONE:
        values = {name: values[name] for name in ("field", "form")}
    return values


@st.composite
def settings(draw) -> Settings:
    figures = st.floats(allow_nan=False, allow_infinity=False)
    crops = st.sampled_from(list(Crop))
    local = st.builds(
        LocalTarget,
        value=st.floats(0.5, 1000),
        counting_unit=st.sampled_from(list(CountingUnit)),
        source=st.none() | texts(20),
    )
    own_b = st.builds(
        LocalBValue,
        value=st.floats(-10, 10),
        standard_error=st.none() | st.floats(0.01, 10),
        source=st.none() | texts(20),
    )
    line = st.builds(
        LocalUreideLine,
        intercept=st.floats(-1, 1),
        slope=st.floats(0.01, 2),
        lowest=st.floats(0, 0.4),
        highest=st.floats(0.5, 1),
        source=st.none() | texts(20),
    )
    override = st.dictionaries(st.sampled_from(("value", "low", "high", "mean", "sd")), figures, min_size=1)
    return Settings(
        title=draw(texts(30)),
        season=draw(texts(10)),
        region=draw(st.none() | texts(10)),
        today=draw(st.none() | st.just(dt.date(2026, 9, 20))),
        seed=draw(st.integers(0, 2**63 - 1)),
        units=draw(st.fixed_dictionaries({}, optional={m: st.sampled_from(list(MEASURES[m])) for m in BOOK_MEASURES})),
        date_order=draw(st.sampled_from(("iso", "dmy", "mdy"))),
        separator=draw(st.sampled_from((None, "comma", "semicolon", "tab"))),
        decimal_mark=draw(st.sampled_from((None, "point", "comma"))),
        target_scheme=draw(st.dictionaries(crops, texts(20), max_size=2)),
        window_scheme=draw(st.dictionaries(crops, texts(20), max_size=2)),
        local_target=draw(st.dictionaries(crops, local, max_size=2)),
        local_b_value=draw(st.dictionaries(crops, own_b, max_size=2)),
        local_ureide_line=draw(st.dictionaries(crops, line, max_size=2)),
        degree_day_method=draw(st.none() | texts(10)),
        settle_at=draw(st.floats(0.5, 0.99)),
        cause_prior=draw(st.dictionaries(texts(20), st.floats(0.001, 0.999), max_size=2)),
        check_price=draw(st.dictionaries(texts(20), st.floats(0, 1000), max_size=2)),
        hour_price=draw(st.none() | st.floats(0.5, 1000)),
        overrides=draw(st.dictionaries(texts(20), override, max_size=2)),
        prices=draw(prices()),
        rescue=draw(rescue_plans()),
    )


def prices() -> st.SearchStrategy[Prices]:
    """Prices somebody may have: some, all or none of them."""
    sums = st.none() | st.floats(0, 10_000)
    return st.builds(
        Prices,
        currency=st.just("") | texts(12, also="").filter(str.isprintable),
        grain=st.dictionaries(st.sampled_from(list(Crop)), st.floats(0.5, 10_000), max_size=3),
        nitrogen=st.dictionaries(st.sampled_from(("urea", "uan_28", "any")), st.floats(0, 100), max_size=3),
        per_pass=sums,
        dig=sums,
    )


def rescue_plans() -> st.SearchStrategy[RescuePlan]:
    return st.builds(
        RescuePlan,
        lead_days=st.integers(0, 60),
        dig_again_days=st.integers(1, 60),
        rates=st.lists(st.floats(0.5, 150), max_size=4).map(tuple),
        rate_step=st.none() | st.floats(0.5, 100),
        implement_width=st.none() | st.floats(0.5, 100),
        strip_bearing=st.none() | st.floats(0, 360),
        residue=st.none() | st.booleans(),
    )


@st.composite
def books(draw) -> Book:
    fields = draw(st.lists(rows(FieldRow), min_size=1, max_size=3, unique_by=lambda row: row.field))
    known = [row.field for row in fields]
    tables = {}
    for table in TABLES[1:]:
        found = draw(st.lists(rows(table, field_ids=known), max_size=4, unique_by=_key(table)))
        tables[table_name(table)] = tuple(found)
    if any(row.counting_unit is not CountingUnit.CLUSTER for row in tables["digs"]):
        tables["digs"] = tuple(row.model_copy(update={"counting_unit": CountingUnit.CLUSTER}) for row in tables["digs"])
    tables["stops"] = _near_their_fields(tables["stops"], fields)
    outlined = draw(st.lists(st.sampled_from(fields), max_size=3, unique=True))
    outlines = tuple(_outline(row, draw(st.floats(0.01, 0.02))) for row in outlined)
    return Book(settings=draw(settings()), fields=tuple(fields), boundaries=outlines, **tables)


def _place(row) -> tuple[float, float]:
    """Where a field lies, or is taken to lie: longitude and latitude, far enough from the edges of both."""
    longitude, latitude = row.longitude or 0.0, row.latitude or 0.0
    return min(max(longitude, -179.9), 179.9), min(max(latitude, -65.9), 65.9)


def _near_their_fields(stops, fields):
    places = {row.field: _place(row) for row in fields}
    return tuple(
        row.model_copy(
            update={
                "longitude": places[row.field][0] + 0.001 * number,
                "latitude": places[row.field][1] - 0.002 * number,
            }
        )
        for number, row in enumerate(stops)
    )


def _outline(row, reach) -> FieldBoundary:
    """A square about the field with a hole in its south-western corner, where no stop lies."""
    x, y = _place(row)
    corners = ((x - reach, y - reach), (x + reach, y - reach), (x + reach, y + reach), (x - reach, y + reach))
    a, b = x - 0.8 * reach, y - 0.8 * reach
    hole = ((a, b), (a, b + 0.1 * reach), (a + 0.1 * reach, b + 0.1 * reach), (a + 0.1 * reach, b))
    return FieldBoundary(row.field, (((*corners, corners[0]), (*hole, hole[0])),))


def _key(table):
    return lambda row: tuple(getattr(row, name) for name in table.key)
