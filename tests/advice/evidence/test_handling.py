"""Inoculants, seed dressings and the way to the soil: what is named is read, what is not named is unknown."""

import datetime as dt

import pytest
from tests.advice.evidence.looking import found, on, sure_of, told
from tests.factories import SOWN

from spadework.knowledge.load import load
from spadework.knowledge.rows import Crop, WordList
from spadework.records.types import HandlingRow, InoculationRow

DAY = dt.timedelta(days=1)


def inoculant(**changes):
    return InoculationRow(**{"field": "west", "form": "peat", "placement": "seed", **changes})


def steps(*rows):
    return tuple(
        HandlingRow(**{"field": "west", "step": number, "what": "stood in the shed", **row})
        for number, row in enumerate(rows, start=1)
    )


def sure(finding, *inoculants, handling=(), crop="pea", **field):
    return sure_of(finding, on(crop, inoculation=inoculants, handling=steps(*handling), field=field))


# ------------------------------------------------------------------ what was used
@pytest.mark.parametrize(
    ("forms", "expected"), [(("none",), 1), (("peat",), 0), (("granule",), 0), (("none", "peat"), 0), ((), None)]
)
def test_no_inoculant(forms, expected):
    assert sure("no_inoculant", *(inoculant(form=form, placement=None) for form in forms)) == expected


def test_without_inoculant_nothing_is_said_of_it():
    assert set(found(on("pea", inoculation=(inoculant(form="none", rhizobia_group="soybean", seed_treatment="thiram",
                                                      expires_on=SOWN - DAY, hours_to_sowing=40),)))) == {
        "no_inoculant"
    }  # fmt: skip


@pytest.mark.parametrize(
    ("crop", "label", "expected"),
    [
        ("pea", "pea", 0), ("pea", "Pea and lentil", 0), ("pea", "lentil, vetch", 0), ("faba_bean", "peas", 0),
        ("faba_bean", "Faba Bean", 0), ("lentil", "R. leguminosarum bv. viciae", 0), ("chickpea", "pea and lentil", 1),
        ("chickpea", "chickpea", 0), ("chickpea", "chick peas", 0), ("pea", "chickpea", 1), ("pea", "chick pea", 1),
        ("pea", "cowpea", 1), ("soybean", "soya", 0), ("soybean", "cowpea", 1), ("cowpea", "mung bean", 0),
        ("mung_bean", "cowpea", 0), ("lupin", "lupin/serradella", 0), ("lupin", "clover", 1),
        ("common_bean", "dry bean", 0),
        ("common_bean", "soybean", 1), ("common_bean", "faba bean", 1), ("pea", "group N", None), ("pea", "E", None),
        ("pea", "bean", None), ("pea", "peat", None), ("pea", None, None), ("pea", "pea, chickpea and soybean", 0),
        ("lupin", "pea, not lupin", 1), ("lupin", "not for pea", None),
    ],
)  # fmt: skip
def test_the_group_on_the_label(crop, label, expected):
    assert sure("wrong_group_label", inoculant(rhizobia_group=label), crop=crop) == expected


@pytest.mark.parametrize(
    ("labels", "expected"),
    [(("soybean", "pea"), 0), (("soybean", "clover"), 1), (("soybean", None), None), (("soybean", "group N"), None)],
)
def test_one_right_label_is_enough_and_an_unread_one_leaves_it_open(labels, expected):
    assert sure("wrong_group_label", *(inoculant(rhizobia_group=label) for label in labels)) == expected


# Tribe Fabeae: genus Rhizobium alone; chickpea: Mesorhizobium (Andrews and Andrews 2017, abstract).
def test_crops_share_groups_as_published():
    groups = [set(row.words) for row in load().of(WordList) if row.id.startswith("words.group.")]
    for crop in Crop:
        assert sum(crop.replace("_", " ") in words for words in groups) == 1, crop
    (fabeae,) = (words for words in groups if "pea" in words)
    assert {"lentil", "faba bean", "vetch"} <= fabeae
    assert not {"chickpea", "lupin", "soybean", "common bean", "cowpea"} & fabeae


def test_no_word_stands_in_two_groups():
    words = [word for row in load().of(WordList) if row.id.startswith("words.group.") for word in row.words]
    assert len(words) == len(set(words))


@pytest.mark.parametrize(
    ("rows", "expected"),
    [
        (({"strain": "one"}, {"strain": "two"}), 1), (({"strain": "one"}, {"strain": "One "}), 0),
        (({"strain": "one"},), 0), (({"strain": "one + two"},), 1), (({},), None), (({}, {}), None),
        (({"strain": "one"}, {}), None), (({"rhizobia_group": "pea"}, {"rhizobia_group": "soybean"}), 1),
        (({"rhizobia_group": "pea"}, {"rhizobia_group": "Pea"}), None),
        # A second one in the furrow is not on the seed.
        (({"strain": "one"}, {"strain": "two", "form": "granule", "placement": "furrow"}), 0),
        (({"strain": "one"}, {"strain": "two", "placement": None}), None),
        (({"strain": "one", "form": "granule", "placement": None},), None),
    ],
)  # fmt: skip
def test_strains_on_the_same_seed(rows, expected):
    assert sure("mixed_strains", *(inoculant(**row) for row in rows)) == expected


# ------------------------------------------------------------------ how it was kept
IN_DATE = {"expires_on": SOWN}
COOL = {"temperature": 15, "hours": 48}


# Adelaide booklet: above 30 degC, freezing and drying harm; Roughley et al 1995: sealed peat stands 40 degC for days.
@pytest.mark.parametrize(
    ("packs", "handling", "expected"),
    [
        (({"expires_on": SOWN - DAY},), (), 1),
        (({"expires_on": SOWN - DAY},), (COOL,), 1),
        (({"expires_on": SOWN - DAY}, IN_DATE), (), 1),
        (({"expires_on": SOWN - DAY}, {}), (), 1),
        ((IN_DATE,), (), None),
        ((IN_DATE,), (COOL,), 0.05),
        ((IN_DATE,), ({"temperature": 30, "hours": 48}, {"temperature": 0, "hours": 9}), 0.05),
        ((IN_DATE,), ({},), None),
        ((IN_DATE,), (COOL, {}), None),
        ((IN_DATE, {}), (COOL,), None),
        (({},), (COOL,), None),
        ((IN_DATE,), ({"temperature": -1},), 1),
        ((IN_DATE,), ({"temperature": 38, "hours": 24},), 1),
        (({},), ({"temperature": 38, "hours": 24}, {}), 1),
        ((IN_DATE,), ({"temperature": 38, "hours": 13},), 0.5),
        ((IN_DATE,), ({"temperature": 38, "hours": 2},), 0.05),
        ((IN_DATE,), ({"temperature": 38},), None),
        ((), ({"temperature": 38, "hours": 48},), None),
    ],
)  # fmt: skip
def test_packs_old_hot_or_frozen(packs, handling, expected):
    assert sure("pack_old_or_hot", *(inoculant(**pack) for pack in packs), handling=handling) == pytest.approx(expected)


def test_a_date_needs_a_sowing():
    assert sure("pack_old_or_hot", inoculant(expires_on=SOWN - DAY), sown_on=None, emerged_on=None) is None


def test_heat_after_coating_is_heat_on_the_seed_not_on_the_pack():
    handling = (COOL, {"what": "treated seed waited in the drill", "temperature": 38, "hours": 30})
    rows = (inoculant(**IN_DATE, hours_to_sowing=2),)
    assert sure("pack_old_or_hot", *rows, handling=handling) == 0.05
    assert sure("late_after_coating", *rows, handling=handling) == 1
    assert sure("late_after_coating", *rows, handling=handling[:1] * 2) == 0.1


COATED = {"what": "seed coated", "sunlight": "shade", "temperature": 18}


@pytest.mark.parametrize(
    ("hours", "expected"), [((24,), 1), ((40,), 1), ((15,), 0.5), ((6,), 0), ((0,), 0), ((3, 30), 1), ((None,), None),
                            ((3, None), None), ((30, None), 1)]
)  # fmt: skip
def test_hours_from_coating_to_sowing(hours, expected):
    rows = [inoculant(hours_to_sowing=one) for one in hours]
    assert sure("late_after_coating", *rows, handling=(COATED,)) == pytest.approx(expected)


@pytest.mark.parametrize(
    ("handling", "expected"),
    [
        ((), 0.1), (({**COATED, "sunlight": None},), 0.1), (({**COATED, "temperature": None},), 0.1), ((COATED,), 0),
        (({**COATED, "sunlight": "sun"},), 1), (({**COATED, "temperature": 31},), 1),
        ((COATED, {"sunlight": "sun"}), 1), (({"sunlight": "sun"}, COATED), 0), ((COATED, {}), 0.1),
    ],
)  # fmt: skip
def test_sun_and_heat_on_coated_seed(handling, expected):
    assert sure("late_after_coating", inoculant(hours_to_sowing=3), handling=handling) == expected


def test_what_may_have_been_on_the_seed_leaves_it_open():
    perhaps = inoculant(placement=None, hours_to_sowing=30)
    assert sure("late_after_coating", inoculant(hours_to_sowing=3), perhaps, handling=(COATED,)) is None
    assert sure("late_after_coating", inoculant(hours_to_sowing=30), perhaps, handling=(COATED,)) == 1
    assert sure("late_after_coating", perhaps, handling=(COATED,)) is None


def test_what_was_not_on_the_seed_was_not_late():
    granules = inoculant(form="granule", placement="furrow", hours_to_sowing=40)
    assert sure("late_after_coating", granules, handling=({**COATED, "sunlight": "sun"},)) is None


# ------------------------------------------------------------------ what it met
# Campo et al 2009 name the eight that harm on soybean seed; Rathjen et al 2025: metalaxyl is of low toxicity.
@pytest.mark.parametrize(
    ("dressing", "expected"),
    [
        ("thiram", 0.95), ("Captan", 0.95), ("carbendazim", 0.95), ("carboxin + thiram", 0.95), ("thiabendazole", 0.95),
        ("difenoconazole", 0.95), ("benomyl", 0.95), ("tolylfluanid", 0.95), ("metalaxyl, thiram", 0.95),
        ("metalaxyl", 0.15), ("Metalaxyl-M", 0.15), ("metalaxyl + fludioxonil", None), ("fludioxonil", None),
        ("none", 0), ("untreated", 0), (None, None), ("not treated with thiram", None),
    ],
)  # fmt: skip
def test_dressings_by_active_ingredient(dressing, expected):
    assert sure("toxic_dressing", inoculant(seed_treatment=dressing)) == expected


@pytest.mark.parametrize(
    ("rows", "expected"),
    [
        (({"form": "granule", "placement": "furrow"},), 0), (({"form": "granule", "placement": None},), 0),
        (({"placement": "furrow"},), 0), (({"placement": None},), None), (({"form": "liquid"},), 0.95),
        (({}, {"seed_treatment": None}), 0.95), (({"seed_treatment": "metalaxyl"}, {"seed_treatment": None}), None),
        (({"seed_treatment": "metalaxyl"}, {}), 0.95), (({}, {"form": "granule", "placement": "furrow"}), 0.95),
    ],
)  # fmt: skip
def test_a_dressing_harms_what_sits_on_the_same_seed(rows, expected):
    assert sure("toxic_dressing", *(inoculant(**{"seed_treatment": "thiram", **row}) for row in rows)) == expected


@pytest.mark.parametrize(
    ("partners", "fertiliser", "harmful"),
    [
        (("urea",), 1, 0), (("Starter fertiliser",), 1, 0), (("monoammonium phosphate",), 1, 0), (("MAP",), 1, 0),
        (("zinc sulphate",), 0, 1), (("ammonium molybdate",), 0, 1), (("sodium molybdate",), 0, 1),
        (("copper",), 0, 1), (("chlorinated water",), 0, 1), (("insecticide",), 0, 1), (("captan",), 0, 1),
        (("urea and zinc",), 1, 1), (("water",), 0, None), (("nothing",), 0, 0), (("none", None), None, None),
        ((None,), None, None), (("sugar",), None, None), ((), None, None), (("nothing", "urea"), 1, 0),
        ((None, "urea"), 1, None), (("urea, sugar",), 1, None), (("sugar with zinc",), None, 1),
        (("water and potash",), 1, None), (("no fertiliser",), None, None), (("water, zinc-free",), None, None),
    ],
)  # fmt: skip
def test_partners_by_kind(partners, fertiliser, harmful):
    handling = tuple({"partner": partner} for partner in partners)
    assert sure("fertiliser_contact", inoculant(), handling=handling) == fertiliser
    assert sure("harmful_partner", inoculant(), handling=handling) == harmful


def test_the_dressing_of_the_seed_is_no_partner_as_well():
    handling = ({"partner": "thiram"},)
    assert sure("harmful_partner", inoculant(seed_treatment="thiram"), handling=handling) is None
    assert sure("harmful_partner", inoculant(seed_treatment="metalaxyl"), handling=handling) == 1


def test_partners_are_told():
    held = on("pea", inoculation=(inoculant(),), handling=steps({"partner": "zinc sulphate"}))
    assert told("harmful_partner", held) == "Inoculant was mixed with something that harms it: zinc sulphate."


def test_the_order_of_rows_does_not_matter():
    rows = (
        inoculant(strain="one", lot="a", rhizobia_group="soybean", hours_to_sowing=9, seed_treatment="captan"),
        inoculant(strain="two", lot="b", rhizobia_group="clover", hours_to_sowing=30, seed_treatment="thiram"),
    )
    handling = steps({"partner": "urea"}, {"partner": "potash"}, {"what": "seed coated", "sunlight": "sun"})
    one = on("pea", inoculation=rows, handling=handling)
    other = on("pea", inoculation=rows[::-1], handling=handling[::-1])
    assert found(one) == found(other)
    assert set(found(one)) == {
        "no_inoculant",
        "wrong_group_label",
        "mixed_strains",
        "late_after_coating",
        "toxic_dressing",
        "fertiliser_contact",
    }
