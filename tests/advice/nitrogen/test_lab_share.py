import datetime as dt
import math
from dataclasses import replace

import pytest
from tests.advice.nitrogen.fields import a_balance_field, soil_test
from tests.factories import DUG, GOOD, NONE, POOR, SOWN, a_book, a_dig, advice_on

from spadework.advice.measured.measure import Chosen, measure
from spadework.advice.messages import render
from spadework.advice.nitrogen.lab_share import laboratory_seen
from spadework.knowledge.load import load
from spadework.knowledge.rows import Crop
from spadework.records.lab_result import FieldLabResultRow
from spadework.records.types import LocalBValue, LocalUreideLine

KNOWN = load()
LEGUMES, REFERENCES = (0.120, 0.140, 0.110, 0.130), (0.40, 0.42, 0.38, 0.41)


def bags(legumes=LEGUMES, references=REFERENCES, *, date=DUG, column="atom_percent_excess"):
    """Samples of the field, by isotope dilution unless told otherwise."""
    return tuple(
        FieldLabResultRow(field="west", sample=f"{kind[0]}{place}", kind=kind, date=date, **{column: value})
        for kind, values in (("legume", legumes), ("reference", references))
        for place, value in enumerate(values)
    )


def seen(rows, *, today=DUG, chosen=None, **field):
    held = a_balance_field(GOOD, lab_results=rows, field=field)
    return laboratory_seen(held, a_book(**chosen or {}), knowledge=KNOWN, today=today)


def read(rows, **changes):
    return seen(rows, **changes).share


ABUNDANCE = (0.9, 1.2, 0.8, 1.0), (6.4, 5.9, 6.6, 6.0)


def abundance(**changes):
    return bags(*ABUNDANCE, column="delta_15n", **changes)


def test_the_share_is_that_of_the_laboratory_command():
    # 1 - 0.125 / 0.4025 by isotope dilution.
    found = read(bags())
    assert found.share == pytest.approx(1 - 0.125 / 0.4025)
    assert found.day == DUG
    (field,) = measure(bags(), crop=Crop.PEA, chosen=Chosen(), knowledge=KNOWN)
    assert (found.share, found.standard_error) == (field.methods[0].share.value, field.methods[0].standard_error)


UNUSED = {
    "of_another_season": (bags(date=SOWN - dt.timedelta(days=300)), "they are from before sowing on 4 May 2026"),
    "later": (bags(date=DUG + dt.timedelta(days=1)), "they are from after 22 June 2026"),
    "refused": (bags(references=()), "by isotope dilution there is no share. No reference plant was analysed."),
    "one_sample": (bags(LEGUMES[:1], REFERENCES[:1]), "one sample of a kind says nothing of the spread"),
    "nothing_measured": (bags(legumes=()), "There is no sample of the legume."),
}


@pytest.mark.parametrize("why", UNUSED)
def test_results_that_cannot_be_used_change_nothing_and_say_why(why):
    rows, text = UNUSED[why]
    assert read(rows) is None
    plain, found = (advice_on(a_balance_field(GOOD, lab_results=held)).nitrogen for held in ((), rows))
    (said,) = (reason for reason in found.reasons if reason.id.startswith("nitrogen.unused."))
    assert said.id == f"nitrogen.unused.{why}"
    assert render(said).startswith("Laboratory results of this field are not used")
    assert text in render(said)
    assert replace(found, reasons=plain.reasons) == plain


@pytest.mark.parametrize(("crop", "why"), [(Crop.PEA, "b_remembered"), (Crop.LUPIN, "b_unknown")])
def test_without_a_b_value_it_says_how_to_give_one(crop, why):
    (said,) = seen(abundance(), crop=crop).said
    assert said.values["why"] == f"refused.{why}"
    assert "in a book, under [local_b_value]" in render(said)


def test_close_references_and_saps_without_a_line_are_told():
    close = bags(ABUNDANCE[0], (1.5, 1.6, 1.4, 1.5), column="delta_15n")
    (said,) = seen(close, crop=Crop.SOYBEAN).said
    assert "too close to tell soil nitrogen from air" in render(said)
    saps = tuple(
        FieldLabResultRow(field="west", sample=str(n), kind="legume", ureides=2.0, nitrate=5.0, amino_n=3.0 + n / 9)
        for n in range(4)
    )
    (said,) = seen(saps, crop=Crop.SOYBEAN).said
    assert "under [local_ureide_line]" in render(said)
    own = {"local_ureide_line": {Crop.SOYBEAN: LocalUreideLine(0.1, 0.8)}}
    assert seen(saps, crop=Crop.SOYBEAN, chosen=own).share.rows[-1] == "local_ureide_line.soybean"


def test_the_books_own_b_value_is_used_and_named():
    found = read(abundance(), chosen={"local_b_value": {Crop.PEA: LocalBValue(-1.1, 0.3, "pots, 2025")}})
    # Means 0.975 and 6.225.
    assert found.share == pytest.approx((6.225 - 0.975) / (6.225 + 1.1))
    assert found.rows == ("local_b_value.pea",)


def test_without_a_balance_results_stand_among_what_is_missing():
    for rows, why in ((bags(), "no_balance"), (abundance(), "refused")):
        advice = advice_on(a_balance_field(GOOD, lab_results=rows, field={"expected_yield": None}))
        (told,) = (one for one in advice.missing if one.record == "lab_results")
        assert told.adds.id == f"nitrogen.unused.{why}"
    assert not any(one.record == "lab_results" for one in advice_on(a_balance_field(GOOD)).missing)


def test_days_not_written_down_stand_for_ripeness_and_are_told():
    found = seen(bags(date=None))
    assert found.share.day is None
    assert [message.id for message in found.said] == ["nitrogen.laboratory.undated"]


def test_of_several_days_the_last_visit_counts_alone():
    early = tuple(
        row.model_copy(update={"sample": f"e{row.sample}"})
        for row in bags((0.3, 0.31, 0.29, 0.3), date=DUG - dt.timedelta(days=14))
    )
    found = seen(early + bags())
    assert (found.share.share, found.share.day) == (pytest.approx(1 - 0.125 / 0.4025), DUG)
    assert "8 laboratory samples of other days are left out: those of the last visit, 22 June 2026" in render(
        found.said[0]
    )
    # References cut a day later are of the same visit; those without a day go with it, legumes without one do not.
    late = tuple(
        row.model_copy(update={"date": DUG - dt.timedelta(days=1)}) if row.kind == "legume" else row for row in bags()
    )
    assert read(late).share == pytest.approx(1 - 0.125 / 0.4025)
    undated = tuple(row.model_copy(update={"date": None}) if row.kind == "reference" else row for row in bags())
    assert read(undated).share == pytest.approx(1 - 0.125 / 0.4025)
    mixed = seen((*bags(), bags(date=None)[0].model_copy(update={"sample": "x"})))
    assert "1 laboratory sample without a day is left out" in render(mixed.said[0])


def test_samples_of_another_season_are_left_out_and_told():
    old = tuple(
        row.model_copy(update={"sample": f"o{row.sample}", "date": SOWN - dt.timedelta(days=300)})
        for row in bags((0.3,) * 4)
    )
    found = seen(old + bags())
    assert found.share.share == pytest.approx(1 - 0.125 / 0.4025)
    assert "8 laboratory samples from before sowing on 4 May 2026 are left out" in render(found.said[0])


def amounts(nitrogen, kind, column="shoot_dry_matter"):
    return [
        FieldLabResultRow(
            field="west", sample=f"{kind}{n}", kind=kind, date=DUG, shoot_n=2.5, shoot_dry_matter=40 * one
        )
        for n, one in enumerate(nitrogen)
    ]


def test_the_difference_method_names_its_row_and_errs_by_what_the_soil_gave():
    rows = (*amounts((150, 160, 140, 150), "legume"), *amounts((60, 64, 56, 60), "reference"))
    found = read(rows)
    assert found.rows == ("nitrogen_difference.uptake",)
    (field,) = measure(rows, crop=Crop.PEA, chosen=Chosen(), knowledge=KNOWN)
    assert found.standard_error == pytest.approx(math.hypot(field.methods[0].standard_error, 20 / 150))


def test_a_method_that_would_count_before_and_gives_nothing_is_told():
    more = {"shoot_n": 2.5, "shoot_dry_matter": 4000.0}
    rows = tuple(
        row.model_copy(update={**more, "shoot_dry_matter": (4000.0 if row.kind == "legume" else 2000.0) + 9 * n})
        for n, row in enumerate(abundance())
    )
    found = seen(rows)
    assert found.share.method == "nitrogen_difference"
    (said,) = (message for message in found.said if message.id == "nitrogen.laboratory.passed_over")
    assert "By natural abundance, which would count before, there is no share. No B value of pea" in render(said)


def test_kilograms_that_were_measured_are_told_as_not_used():
    rows = tuple(row.model_copy(update={"shoot_n": 2.5, "shoot_dry_matter": 4000.0}) for row in bags())
    (said,) = (message for message in seen(rows).said if message.id == "nitrogen.laboratory.kilograms")
    assert "The balance takes only the share" in render(said)


def test_a_share_outside_of_what_the_balance_comes_to_is_told():
    none_fixed = advice_on(a_balance_field(NONE, lab_results=bags((0.39, 0.41, 0.40, 0.40))))
    ids = [reason.id for reason in none_fixed.nitrogen.reasons]
    assert "nitrogen.reason.measured.outside" not in ids
    high = advice_on(a_balance_field(GOOD, lab_results=bags((0.10, 0.11, 0.09, 0.10)), soil_tests=soil_test(90)))
    (said,) = (reason for reason in high.nitrogen.reasons if reason.id == "nitrogen.reason.measured.outside")
    assert said.values["share"] > said.values["high"] > said.values["low"]


def test_of_several_methods_the_most_trusted_counts():
    both = tuple(
        one.model_copy(update={"delta_15n": other.delta_15n}) for one, other in zip(bags(), abundance(), strict=True)
    )
    assert read(both, crop=Crop.SOYBEAN).method == "isotope_dilution"
    alone = read(abundance(), crop=Crop.SOYBEAN)
    assert alone.method == "natural_abundance"
    assert alone.rows[0].startswith("b_value.soybean")


def test_results_update_the_balance_of_the_field():
    plain = advice_on(a_balance_field(POOR)).nitrogen
    low = advice_on(a_balance_field(POOR, lab_results=bags((0.34, 0.36, 0.33, 0.35), date=None))).nitrogen
    high = advice_on(a_balance_field(POOR, lab_results=bags((0.14, 0.16, 0.13, 0.15), date=None))).nitrogen
    assert low.nodulation_from == high.nodulation_from == "measured"
    assert low.fixed.value < plain.fixed.value < high.fixed.value
    assert high.chance_of_gap < plain.chance_of_gap < low.chance_of_gap
    for found in (low, high):
        width = found.fixed_share.high - found.fixed_share.low
        assert width < plain.fixed_share.high - plain.fixed_share.low
    said = next(reason for reason in low.reasons if reason.id == "nitrogen.reason.measured.ripe")
    assert said.values["method"] == "isotope dilution"


def test_a_measurement_tells_where_the_dig_came_too_early():
    early = {"digs": (a_dig(stage_bbch=14),)}
    assert advice_on(a_balance_field(POOR, **early)).nitrogen.nodulation_from == "too_early"
    found = advice_on(a_balance_field(POOR, lab_results=bags((0.38, 0.39, 0.40, 0.39), date=None), **early)).nitrogen
    assert found.nodulation_from == "measured"
    assert found.headline.id != "nitrogen.headline.wrong_time"
