"""All rules together: one evidence a finding, the surest; what nobody recorded turns no answer into its opposite."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.advice.evidence.looking import found, look_at, on, sight, soil_test, sure_of
from tests.factories import DUG, GOOD, POOR, SOWN, a_dig, a_visit, advice_on, days

from spadework.advice.evidence import evidence_of, own_limits_of, unread_of
from spadework.records.types import (
    FieldRecords,
    HandlingRow,
    InoculationRow,
    LeafColour,
    PhMethod,
    RootHealth,
    SizeClass,
    Texture,
    WeatherRow,
)

TOLD_AS_NO, TOLD_AS_YES = 0.25, 0.75


def recorded() -> FieldRecords:
    """A poor field of which everything is recorded: no two records speak against each other."""
    looks = {"leaf_old": LeafColour.PALE, "leaf_young": LeafColour.GREEN, "root_health": RootHealth.HEALTHY,
             "vigour": 2.0, "size_class": SizeClass.UNDER_2_MM}  # fmt: skip
    weather = tuple(WeatherRow(station="hill", W_DATE=day, TMIN=2, TMAX=12, RAIN=0) for day in days(SOWN, DUG))
    return on(
        "pea",
        plants=a_visit([6] * 8, [4] * 8, [8] * 8, **looks),
        digs=(a_dig(),),
        weather=weather,
        soil_tests=(
            soil_test(ph=4.9, ph_method=PhMethod.CACL2, nitrate_n=60, ec=0.4),
            soil_test(depth_top=15, depth_bottom=30, ph=5.2, ph_method=PhMethod.CACL2, nitrate_n=30, ec=0.5),
        ),
        inoculation=(
            InoculationRow(field="west", form="peat", placement="seed", rhizobia_group="soybean", strain="one", lot="a",
                           expires_on=SOWN, seed_treatment="thiram", hours_to_sowing=30),
            InoculationRow(field="west", form="liquid", placement="seed", rhizobia_group="lupin", strain="two", lot="b",
                           expires_on=DUG, seed_treatment="metalaxyl", hours_to_sowing=2),
        ),
        handling=(
            HandlingRow(field="west", step=1, what="in the shed", hours=40, temperature=35, sunlight="shade",
                        partner="nothing"),
            HandlingRow(field="west", step=2, what="seed coated", hours=2, temperature=12, sunlight="shade",
                        partner="urea"),
        ),
        field={"host_grown_before": True, "host_last_year": 2010, "soil_texture": Texture.SAND, "station": "hill"},
    )  # fmt: skip


WHOLE = recorded()
ALL_KNOWN = {name: one.sure for name, one in found(WHOLE).items()}
TABLES = ("plants", "weather", "soil_tests", "inoculation", "handling")
KEYS = {"field", "line", "date", "stop", "plant", "scorer", "station", "W_DATE", "step", "what", "form", "depth_top",
        "depth_bottom", "lot", "crop", "sown_on", "emerged_on"}  # fmt: skip
CELLS = [
    (table, at, name)
    for table in TABLES
    for at, row in enumerate(getattr(WHOLE, table))
    for name, value in row
    if value is not None and name not in KEYS
] + [("field", 0, name) for name, value in WHOLE.field if value is not None and name not in KEYS]


def without(cells) -> FieldRecords:
    """The records with some cells left empty."""
    parts = {table: list(getattr(WHOLE, table)) for table in TABLES}
    field = WHOLE.field
    for table, at, name in cells:
        if table == "field":
            field = field.model_copy(update={name: None})
        else:
            parts[table][at] = parts[table][at].model_copy(update={name: None})
    return FieldRecords(field=field, digs=WHOLE.digs, **{table: tuple(rows) for table, rows in parts.items()})


def test_nearly_everything_is_known_of_a_field_of_which_everything_is_recorded():
    assert len(ALL_KNOWN) >= 30
    assert {"low_phosphorus", "herbicide_before", "hollow_nodules", "strips"} & set(ALL_KNOWN) == set()


@settings(deadline=None, max_examples=150)
@given(st.lists(st.sampled_from(CELLS), min_size=1, max_size=6, unique=True))
def test_an_empty_cell_never_turns_a_yes_into_a_no_or_a_no_into_a_yes(cells):
    for name, sure in {one.finding: one.sure for one in evidence_of(look_at(without(cells)))}.items():
        before = ALL_KNOWN.get(name)
        assert before is not None, f"{name} became known by leaving out {cells}"
        assert not (before <= TOLD_AS_NO and sure >= TOLD_AS_YES), name
        assert not (before >= TOLD_AS_YES and sure <= TOLD_AS_NO), name


@pytest.mark.parametrize("table", TABLES)
def test_without_a_table_what_rested_on_it_is_unknown_and_the_rest_stands(table):
    parts = {name: () if name == table else getattr(WHOLE, name) for name in TABLES}
    left = found(FieldRecords(field=WHOLE.field, digs=WHOLE.digs, **parts))
    rested = {
        "plants": {"few_nodules", "no_nodules", "bare_crown", "pale_old_leaves", "stunted", "sick_roots"},
        "weather": {"cold_root_zone", "saturated_soil"},
        "soil_tests": {"high_nitrate", "acid_soil", "salty_soil", "alkaline_soil"},
        "inoculation": {"no_inoculant", "wrong_group_label", "mixed_strains", "toxic_dressing", "late_after_coating"},
        "handling": {"fertiliser_contact", "pack_old_or_hot"},
    }[table]
    assert rested <= set(ALL_KNOWN)
    assert not rested & set(left)
    for name, one in left.items():
        assert one.sure == pytest.approx(ALL_KNOWN[name]) or table == "handling", name


def test_of_a_field_without_records_only_its_texture_could_be_known():
    assert found(on("pea")) == {}
    assert unread_of(look_at(on("pea"))) == ()


def test_the_surest_rule_stands():
    # Dry at the dig says probably no (0.1), standing water at an earlier dig says yes.
    digs = (a_dig(date=DUG.replace(day=10), soil_wetness="waterlogged"), a_dig(soil_wetness="dry"))
    assert sure_of("saturated_soil", on("pea", digs=digs)) == 1


def test_a_pattern_that_was_seen_takes_the_place_of_the_one_that_stops_suggest():
    held = on("pea", plants=POOR, observations=(sight("strips", "yes"),))
    assert found(held)["even_over_field"].rule == "seen"
    assert sure_of("even_over_field", held) == 0
    not_strips = on("pea", plants=POOR, observations=(sight("strips", "no"),))
    assert found(not_strips)["even_over_field"].rule == "stops"


def test_a_finding_at_a_stop_keeps_the_derived_ones_of_its_group_out():
    held = on("pea", plants=POOR, observations=(sight("strips", "yes", stop="1"), sight("strips", "no", stop="2")))
    assert found(held)["strips"].sure == 0.5
    assert "even_over_field" not in found(held)


def test_a_dig_said_to_be_late_is_not_early_too():
    held = on("pea", plants=GOOD, digs=(a_dig(stage_bbch=13),), observations=(sight("dug late", "yes"),))
    assert (sure_of("dug_late", held), sure_of("dug_early", held)) == (1, 0)


def test_limits_of_the_book_are_named_even_where_they_leave_a_finding_unknown():
    own = {
        "limit.fewest_plants.any": {"value": 100},
        "limit.nitrate.pea": {"value": 80},
        "diagnosis.prior": {"value": 0.06},
    }
    poor = on("pea", plants=POOR)
    assert "no_nodules" not in found(poor, overrides=own)
    assert own_limits_of(look_at(poor, overrides=own)) == ("limit.nitrate.pea", "limit.fewest_plants.any")
    assert own_limits_of(look_at(on("lupin"), overrides=own)) == ("limit.fewest_plants.any",)
    assert own_limits_of(look_at(poor)) == ()
    priors = advice_on(poor, overrides=own).diagnosis.priors
    assert set(priors.sources) == {"diagnosis.prior", "limit.nitrate.pea", "limit.fewest_plants.any"}
