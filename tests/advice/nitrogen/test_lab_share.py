import datetime as dt

import pytest
from tests.advice.nitrogen.fields import a_balance_field
from tests.factories import DUG, GOOD, POOR, SOWN, a_dig, advice_on

from spadework.advice.measured.measure import Chosen, measure
from spadework.advice.nitrogen.lab_share import share_measured
from spadework.knowledge.load import load
from spadework.knowledge.rows import Crop
from spadework.records.lab_result import FieldLabResultRow

KNOWN = load()
LEGUMES, REFERENCES = (0.120, 0.140, 0.110, 0.130), (0.40, 0.42, 0.38, 0.41)


def bags(legumes=LEGUMES, references=REFERENCES, *, date=DUG, column="atom_percent_excess"):
    """Samples of the field, by isotope dilution unless told otherwise."""
    return tuple(
        FieldLabResultRow(field="west", sample=f"{kind[0]}{place}", kind=kind, date=date, **{column: value})
        for kind, values in (("legume", legumes), ("reference", references))
        for place, value in enumerate(values)
    )


def read(rows, *, today=DUG, **field):
    held = a_balance_field(GOOD, lab_results=rows, field=field)
    return share_measured(held, knowledge=KNOWN, today=today)


def test_the_share_is_that_of_the_laboratory_command():
    # 1 - 0.125 / 0.4025 by isotope dilution.
    found = read(bags())
    assert found.share == pytest.approx(1 - 0.125 / 0.4025)
    assert found.day == DUG
    (field,) = measure(bags(), crop=Crop.PEA, chosen=Chosen(), knowledge=KNOWN)
    assert (found.share, found.standard_error) == (field.methods[0].share.value, field.methods[0].standard_error)


@pytest.mark.parametrize(
    "rows",
    [
        (),
        bags(date=SOWN - dt.timedelta(days=1)),  # of another season
        bags(date=DUG + dt.timedelta(days=1)),  # not there yet
        bags(references=()),
        bags(LEGUMES[:1], REFERENCES[:1]),  # no standard error
    ],
)
def test_what_gives_no_share_changes_nothing(rows):
    assert read(rows) is None
    plain, found = (advice_on(a_balance_field(GOOD, lab_results=held)).nitrogen for held in ((), rows))
    assert found == plain


def test_days_not_written_down_stand_for_ripeness():
    assert read(bags(date=None)).day is None


def test_of_several_methods_the_most_trusted_counts():
    abundance = bags((0.9, 1.2, 0.8, 1.0), (6.4, 5.9, 6.6, 6.0), column="delta_15n")
    both = tuple(
        one.model_copy(update={"delta_15n": other.delta_15n}) for one, other in zip(bags(), abundance, strict=True)
    )
    assert read(both, crop=Crop.SOYBEAN).method == "isotope_dilution"
    alone = read(abundance, crop=Crop.SOYBEAN)
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
