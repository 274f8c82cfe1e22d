"""Soil tests and texture: limits by crop, depth and method; what was not sampled stays unknown."""

import datetime as dt

import pytest
from tests.advice.evidence.looking import found, on, soil_test, sure_of, told
from tests.factories import DUG, a_dig

from spadework.records.types import PhMethod, Texture

DAY = dt.timedelta(days=1)


def nitrate(*layers, crop="pea", **changes):
    """How sure high nitrate is, of layers (top, bottom, kg N/ha)."""
    tests = tuple(soil_test(depth_top=top, depth_bottom=bottom, nitrate_n=kg, **changes) for top, bottom, kg in layers)
    return sure_of("high_nitrate", on(crop, soil_tests=tests, digs=(a_dig(),)))


# Limits: pea 56 (Voisin et al 2002), faba bean 55 (Alberta growers), soybean 45 kg N/ha (Michigan State: 40 lb
# an acre); other crops that of pea, by judgement.
@pytest.mark.parametrize(
    ("crop", "limit"), [("pea", 56), ("faba_bean", 55), ("soybean", 45), ("lentil", 56), ("common_bean", 56)]
)
def test_nitrate_is_held_against_the_limit_of_the_crop(crop, limit):
    assert nitrate((0, 30, limit), crop=crop) == 0
    assert nitrate((0, 30, limit + 0.1), crop=crop) == 1


def test_a_crop_without_a_limit_of_its_own_says_whose_is_used():
    held = on("lentil", soil_tests=(soil_test(depth_bottom=30, nitrate_n=70),))
    assert found(held)["high_nitrate"].rule == "nitrate_as_in_pea"
    assert "the limit of pea" in told("high_nitrate", held)
    assert found(held)["high_nitrate"].message.sources[0] == "limit.nitrate.any"


@pytest.mark.parametrize(
    ("layers", "sure"),
    [
        # 40 + (30 - 15) / (60 - 15) x 60 = 60 above 56.
        (((0, 15, 40), (15, 60, 60)), 1),
        # 40 + 15 / 45 x 45 = 55.
        (((0, 15, 40), (15, 60, 45)), 0),
        # 60 in 60 cm are 30 in 30 cm.
        (((0, 60, 60),), 0),
        # Layers that overlap: their mean, not their sum.
        (((0, 30, 50), (0, 30, 54)), 0),
        # The known part is over the limit already.
        (((0, 10, 57),), 1),
        # 15 cm sampled of 30: nobody knows.
        (((0, 15, 20),), None),
        (((0, 24.9, 20),), None),
        (((0, 25, 20),), 0),
        # The surface is missing.
        (((10, 40, 20),), None),
        # All of it lies deeper.
        (((30, 60, 200),), None),
    ],
)
def test_layers_are_added_up_to_thirty_centimetres(layers, sure):
    assert nitrate(*layers) == sure


def test_the_newest_test_before_the_dig_counts():
    old = soil_test(date=DUG - 40 * DAY, depth_bottom=30, nitrate_n=90)
    new = soil_test(date=DUG - 20 * DAY, depth_bottom=30, nitrate_n=20)
    assert sure_of("high_nitrate", on("pea", soil_tests=(old, new), digs=(a_dig(),))) == 0
    without = new.model_copy(update={"nitrate_n": None})
    assert sure_of("high_nitrate", on("pea", soil_tests=(old, without), digs=(a_dig(),))) == 1


def test_a_test_after_the_dig_can_only_say_yes():
    for kg, sure in ((90, 1), (20, None)):
        after = soil_test(date=DUG + 5 * DAY, depth_bottom=30, nitrate_n=kg)
        held = on("pea", soil_tests=(after,), digs=(a_dig(),))
        assert sure_of("high_nitrate", held, today=DUG + 9 * DAY) == sure
        assert sure_of("high_nitrate", held, today=DUG) is None


def test_nitrate_of_last_year_says_nothing():
    assert nitrate((0, 30, 90), date=DUG - 240 * DAY) == 1
    assert nitrate((0, 30, 90), date=DUG - 241 * DAY) is None


def ph(*layers, crop="pea", method="cacl2", finding="acid_soil"):
    """How sure a finding is, of layers (top, bottom, pH)."""
    tests = tuple(
        soil_test(depth_top=top, depth_bottom=bottom, ph=value, ph_method=method and PhMethod(method))
        for top, bottom, value in layers
    )
    return sure_of(finding, on(crop, soil_tests=tests))


# 5.5 in calcium chloride: GRDC and SARDI 2022, for pea, lentil, faba bean and chickpea; others by judgement.
@pytest.mark.parametrize(
    ("method", "value", "sure"),
    [
        ("cacl2", 5.49, 1), ("cacl2", 5.5, 0), ("water", 5.49, 1), ("water", 5.5, None), ("water", 6.49, None),
        ("water", 6.5, 0), (None, 5.49, 1), (None, 5.5, None), (None, 6.49, None), (None, 6.5, 0),
    ],
)  # fmt: skip
@pytest.mark.parametrize("crop", ["pea", "chickpea", "soybean", "cowpea"])
def test_acid_soil_by_method(crop, method, value, sure):
    assert ph((0, 15, value), crop=crop, method=method) == sure


@pytest.mark.parametrize(
    ("layers", "sure"),
    [
        (((0, 5, 5.6), (5, 20, 4.5)), 1),  # an acid layer below the lime
        (((0, 10, 5.6),), None),  # too shallow to rule one out
        (((0, 10, 5.6), (10, 20, 5.7)), 0),
        (((0, 10, 5.6), (20, 40, 4.5)), None),  # below the root zone
        (((5, 20, 6.0),), None),  # the surface is missing
        (((5, 20, 5.0),), 1),
    ],
)
def test_acid_layers(layers, sure):
    assert ph(*layers) == sure


def test_lupin_is_at_ease_in_acid_soil():
    assert ph((0, 15, 4.6), crop="lupin") is None
    assert ph((0, 15, 6.0), crop="lupin") is None


@pytest.mark.parametrize(
    ("crop", "method", "value", "sure"),
    [
        ("pea", "cacl2", 7.0, 0), ("pea", "cacl2", 7.25, 0.5), ("pea", "cacl2", 7.5, 1), ("pea", "water", 7.5, 0),
        ("pea", "water", 8.0, 1), ("lupin", "cacl2", 6.0, 0), ("lupin", "cacl2", 6.5, 0.5), ("lupin", "cacl2", 7.0, 1),
        ("lupin", "water", 7.5, 1), ("soybean", "water", 8.2, 1), ("pea", None, 7.0, 0), ("pea", None, 7.6, None),
        ("pea", None, 8.0, 1),
    ],
)  # fmt: skip
def test_alkaline_soil(crop, method, value, sure):
    assert ph((0, 15, value), crop=crop, method=method, finding="alkaline_soil") == pytest.approx(sure)


def test_alkaline_soil_is_not_ruled_out_by_the_surface_alone():
    assert ph((0, 10, 6.8), finding="alkaline_soil") is None
    assert ph((0, 10, 7.8), finding="alkaline_soil") == 1


# Nebraska extension column: above pH 6.0 molybdenum is not short.
@pytest.mark.parametrize(
    ("layers", "sure"),
    [(((0, 20, 6.1),), 0), (((0, 20, 6.0),), None), (((0, 10, 7.0), (10, 20, 5.8)), None), (((0, 10, 7.0),), None)],
)
def test_molybdenum_is_only_ever_ruled_out(layers, sure):
    assert ph(*layers, finding="acid_low_molybdenum") == sure


# Maas 1990: yield of bean falls from 1.0, of mung bean from 1.8 dS/m. Elsheikh and Wood 1990: nodules of chickpea
# from 4 in solution. Saline soil: above 4 dS/m, common practice, no source.
@pytest.mark.parametrize(
    ("crop", "ec", "sure"),
    [
        ("common_bean", 1.0, 0), ("common_bean", 1.1, 1), ("mung_bean", 1.8, 0), ("mung_bean", 1.9, 1),
        ("chickpea", 1.0, 0), ("chickpea", 2.0, None), ("chickpea", 4.0, None), ("chickpea", 4.1, 1),
        ("soybean", 1.0, 0), ("soybean", 3.0, None), ("soybean", 4.1, 1), ("cowpea", 4.1, 1), ("faba_bean", 1.6, None),
    ],
)  # fmt: skip
def test_salt(crop, ec, sure):
    assert sure_of("salty_soil", on(crop, soil_tests=(soil_test(ec=ec),))) == sure


def test_salt_below_a_shallow_sample_is_unknown_and_the_worst_layer_counts():
    assert sure_of("salty_soil", on("pea", soil_tests=(soil_test(ec=0.4, depth_bottom=10),))) is None
    layers = (soil_test(ec=0.4, depth_bottom=10), soil_test(ec=5, depth_top=10, depth_bottom=20))
    assert sure_of("salty_soil", on("pea", soil_tests=layers)) == 1


@pytest.mark.parametrize(("texture", "sure"), [(Texture.SAND, 1), (Texture.LOAM, 0), (Texture.CLAY, 0), (None, None)])
def test_texture(texture, sure):
    assert sure_of("sandy_soil", on("pea", field={"soil_texture": texture})) == sure


def test_ph_and_salt_of_after_the_dig_count_and_of_after_today_do_not():
    later = soil_test(date=DUG + 5 * DAY, ph=4.5, ph_method=PhMethod.CACL2, ec=6)
    held = on("pea", soil_tests=(later,), digs=(a_dig(),))
    assert {"acid_soil", "salty_soil"} <= set(found(held, today=DUG + 9 * DAY))
    assert not {"acid_soil", "salty_soil"} & set(found(held, today=DUG))


def test_without_soil_tests_nothing_is_said():
    assert not {"high_nitrate", "acid_soil", "alkaline_soil", "salty_soil", "sandy_soil", "low_phosphorus"} & set(
        found(on("pea"))
    )


def test_a_limit_of_the_book_is_used():
    own = {"overrides": {"limit.nitrate.pea": {"value": 80}}}
    held = on("pea", soil_tests=(soil_test(depth_bottom=30, nitrate_n=70),))
    assert (sure_of("high_nitrate", held), sure_of("high_nitrate", held, **own)) == (1, 0)
