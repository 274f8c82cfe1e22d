"""From rows to fields and methods, amounts, and everything that can be said."""

import re

import pytest
from tests.advice.measured.bags import KNOWN, abundance, legume, measured, only, reference, said

from spadework.advice.measured.measure import Chosen, measure
from spadework.advice.messages import catalogue, render
from spadework.errors import KnowledgeError
from spadework.knowledge.rows import Crop
from spadework.records.types import LocalUreideLine
from spadework.records.words import LaboratoryMethod

AMOUNT = {"shoot_n": 2.5, "shoot_dry_matter": 8000.0}


def test_fields_are_told_apart_in_the_order_of_the_rows():
    rows = [row.model_copy(update={"field": name}) for name in ("west", "east") for row in abundance()]
    rows.append(legume("x", delta_15n=1.0))
    found = measure(rows, crop=Crop.SOYBEAN, chosen=Chosen(), knowledge=KNOWN)
    assert [field.field for field in found] == ["west", "east", None]
    # The sample without a field has no reference: those of other fields do not serve it.
    assert [field.is_answered for field in found] == [True, True, False]


def everything():
    return [
        *(row.model_copy(update={**AMOUNT, "atom_percent_excess": 0.1}) for row in abundance()[:4]),
        *(row.model_copy(update={**AMOUNT, "shoot_dry_matter": 3000.0, "atom_percent_excess": 0.4})
          for row in abundance()[4:]),
        legume("sap", ureides=2.0, nitrate=5.0, amino_n=3.0),
    ]  # fmt: skip


def test_every_method_that_the_columns_allow_is_given_and_none_is_averaged():
    found = measured(everything())
    assert [one.method for one in found.methods] == list(LaboratoryMethod)
    assert "lab.warning.several_methods" in {message.id for message in found.warnings}


@pytest.mark.parametrize("method", LaboratoryMethod)
def test_one_method_is_given_where_it_is_asked_for(method):
    found = measured(everything(), methods=frozenset({method}))
    assert [one.method for one in found.methods] == [method]


def test_kilograms_by_hand():
    found = only(abundance(**AMOUNT), b_value=-1.0, b_spread=0.4)
    assert found.fixed_shoot.value == pytest.approx(200 * 5 / 7)
    # No spread in the nitrogen, so the interval is that of the share times 200.
    assert found.fixed_shoot.low == pytest.approx(200 * found.share.low)
    assert found.fixed_shoot.high == pytest.approx(200 * found.share.high)


def test_a_spread_of_nitrogen_widens_the_kilograms():
    rows = abundance()
    even = [row.model_copy(update=AMOUNT) for row in rows[:4]] + rows[4:]
    uneven = [
        row.model_copy(update={**AMOUNT, "shoot_dry_matter": dry})
        for row, dry in zip(rows[:4], (6000.0, 10000.0, 7000.0, 9000.0), strict=True)
    ] + rows[4:]
    widths = [one.fixed_shoot.high - one.fixed_shoot.low for one in (only(even), only(uneven))]
    assert widths[0] < widths[1]


def test_without_amounts_there_are_no_kilograms():
    assert only(abundance()).fixed_shoot is None


def test_one_sample_of_a_kind_gives_no_kilograms_without_an_interval():
    one_legume = measured(abundance((1.0,), **AMOUNT))
    assert one_legume.methods[0].share is not None
    assert (one_legume.methods[0].fixed_shoot, one_legume.shoot_nitrogen) == (None, None)
    one_reference = only(abundance(references=(6.0,), **AMOUNT))
    assert one_reference.share.low is None
    assert one_reference.fixed_shoot is None
    assert "warning.no_kilograms" in said(one_reference)


@pytest.mark.parametrize(("percent", "is_told"), [(2.5, False), (5.0, True), (1.0, True)])
def test_an_unusual_amount_is_told(percent, is_told):
    # 5/7 of 25, 50 and 10 kg a tonne: 18, 36 and 7.
    found = only(abundance(shoot_n=percent, shoot_dry_matter=8000.0), b_value=-1.0)
    assert ("warning.unusual_amount" in said(found)) is is_told


def test_samples_that_carry_nothing_are_told():
    ids = [{message.id for message in measured(rows).warnings} for rows in ([reference(1)], [legume(1)])]
    assert ids == [{"lab.warning.no_legume"}, {"lab.warning.nothing_measured"}]


@pytest.mark.parametrize("method", LaboratoryMethod)
def test_a_method_that_was_asked_for_names_its_own_columns(method):
    found = measured([legume(1)], methods=frozenset({method}))
    assert [message.id for message in found.warnings] == [f"lab.warning.not_measured.{method.value}"]


def test_a_b_value_that_is_not_one_is_refused():
    with pytest.raises(
        KnowledgeError, match=r"is not a B value of soybean: the rows are b_value\.soybean\.published_mean, "
    ):
        only(abundance(), b_value="b_value.soybean.nothing")


def fields_of_all_sorts():
    """Fields that between them say everything that can be said."""
    close = {"b_value": 0.8, "b_spread": 0.05}
    yield measured(everything())
    yield measured(everything(), ureide_line=LocalUreideLine(0.1, 0.8))
    yield measured(everything(), ureide_line=LocalUreideLine(0.1, 0.8, 0.0, 0.4))
    for rows, crop, chosen in (
        (everything(), Crop.PEA, {"b_value": "b_value.pea.remembered"}),
        (abundance(), Crop.PEA, {}),
        (abundance(), Crop.LUPIN, {}),
        (abundance(), Crop.FABA_BEAN, {}),
        (abundance(references=()), Crop.SOYBEAN, {}),
        (abundance(references=(-1.6, -1.7)), Crop.SOYBEAN, {}),
        (abundance(references=(1.5, 1.6)), Crop.SOYBEAN, {}),
        (abundance(references=(0.5, 9.5)), Crop.SOYBEAN, {}),
        (abundance(references=(7.0, 1.0, 7.0, 1.0)), Crop.SOYBEAN, {"b_value": 0.5, "b_spread": 0.1}),
        (abundance(references=(2.2, 2.3, 2.2, 2.3)), Crop.SOYBEAN, close),
        (abundance((1.0,), plants=()), Crop.SOYBEAN, {}),
        (abundance((1.0, 1.1)), Crop.SOYBEAN, {}),
        (abundance((6.1, 7.5, 6.6, 6.0)), Crop.SOYBEAN, {}),
        (abundance((12.0, 12.1, 12.2, 12.1)), Crop.SOYBEAN, {}),
        (abundance((-3.0, -3.2, -2.9, -3.1)), Crop.SOYBEAN, {}),
        (abundance(shoot_n=5.0, shoot_dry_matter=8000.0), Crop.SOYBEAN, {}),
        (abundance(shoot_n=2.5, shoot_dry_matter=4000.0, grain_dry_matter=3900.0), Crop.SOYBEAN, {}),
        (abundance(**AMOUNT, grain_dry_matter=2600.0), Crop.SOYBEAN, {}),
        (abundance(**AMOUNT, grain_dry_matter=2600.0), Crop.MUNG_BEAN, {"b_value": -1.0}),
        (abundance((1.0,), **AMOUNT, grain_dry_matter=2600.0), Crop.SOYBEAN, {}),
        ([legume(1)], Crop.SOYBEAN, {}),
        ([reference(1)], Crop.SOYBEAN, {}),
        *(([legume(1)], Crop.SOYBEAN, {"methods": frozenset({method})}) for method in LaboratoryMethod),
        ([legume(n, ureides=0.5, nitrate=5.0, amino_n=3.0) for n in (1, 2)], Crop.SOYBEAN, {}),
        ([legume(1, atom_percent_excess=0.1), reference(1, atom_percent_excess=0.0)], Crop.PEA, {}),
        ([legume(1, atom_percent_excess=0.1),
          *(reference(n, atom_percent_excess=ape) for n, ape in enumerate((0.001, 0.9)))], Crop.PEA, {}),
        ([*(legume(n, atom_percent_excess=0.1 + n / 100) for n in range(2)),
          *(reference(n, atom_percent_excess=ape) for n, ape in enumerate((0.001, 0.9)))], Crop.PEA, {}),
        ([legume(1, **AMOUNT), reference(1, shoot_n=3.0, shoot_dry_matter=9000.0)], Crop.PEA, {}),
    ):  # fmt: skip
        yield measured(rows, crop, **chosen)


def messages_of(field):
    yield from field.warnings
    for one in field.methods:
        yield from (*one.sensitivity, *one.warnings)
        if one.refused is not None:
            yield one.refused


def test_everything_that_can_be_said_is_said_and_reads_as_a_sentence():
    messages = [message for field in fields_of_all_sorts() for message in messages_of(field)]
    for message in messages:
        text = render(message)
        assert "nan" not in text, message
        assert "{" not in text
        assert re.match(r"[A-Z0-9]", text), text
        assert text.endswith("."), text
    assert {message.id for message in messages} == {name for name in catalogue() if name.startswith("lab.")}
