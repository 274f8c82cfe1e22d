"""What the crop leaves: by hand, with and without roots, and credits of their own kind."""

import pytest
from tests.advice.measured.bags import abundance, measured

from spadework.knowledge.load import load, with_overrides
from spadework.knowledge.rows import Credit, Crop
from spadework.quantity import Grade

KNOWN = load()
HARVEST = {"shoot_n": 2.5, "shoot_dry_matter": 8000.0, "grain_dry_matter": 3000.0, "grain_n": 5.0}


PLOTS = ((1400.0, 3800.0, 1500.0, 3700.0), (2600.0,) * 4)


def by_plots(grain, shoot=(8000.0,) * 4, grain_n=5.0):
    """Four plots that differ in grain, and perhaps in the shoot that holds it."""
    rows = abundance(**{**HARVEST, "grain_n": grain_n})
    plots = [
        row.model_copy(update={"grain_dry_matter": held, "shoot_dry_matter": dry})
        for row, held, dry in zip(rows, grain, shoot, strict=False)
    ]
    return measured([*plots, *rows[4:]], Crop.SOYBEAN, KNOWN, b_value=-1.0, b_spread=0.4)


def width(figure):
    return figure.high - figure.low


def field(crop=Crop.SOYBEAN, knowledge=KNOWN, **changes):
    return measured(abundance(**{**HARVEST, **changes}), crop, knowledge, b_value=-1.0, b_spread=0.4)


def test_balance_by_hand():
    found = field()
    (one,) = found.methods
    # Shoot 200, share 5/7, fixed 142.9; roots hold 24 % of the plant: over 0.76, 188.0; grain 150.
    assert found.shoot_nitrogen.value == pytest.approx(200)
    assert found.grain_nitrogen.value == pytest.approx(150)
    assert one.fixed_shoot.value == pytest.approx(200 * 5 / 7)
    assert one.left.fixed_whole.value == pytest.approx(200 * 5 / 7 / 0.76)
    assert one.left.net_shoot.value == pytest.approx(200 * 5 / 7 - 150)
    assert one.left.net_whole.value == pytest.approx(200 * 5 / 7 / 0.76 - 150)
    assert found.residue_shoot.value == pytest.approx(50)
    assert found.residue_below_ground.value == pytest.approx(200 / 0.76 - 200)
    assert found.residue_below_ground.high == pytest.approx(200 / (1 - 0.286) - 200)


def test_far_ends_of_share_and_roots_are_taken_together():
    (one,) = field().methods
    fixed = one.fixed_shoot
    assert one.left.fixed_whole.low == pytest.approx(fixed.low / 0.76)
    assert one.left.fixed_whole.high == pytest.approx(fixed.high / (1 - 0.286))
    assert one.left.net_whole.low == pytest.approx(one.left.fixed_whole.low - 150)


def test_below_zero_more_roots_lower_the_end():
    rows = abundance((6.5, 6.4, 6.6, 6.5), **HARVEST)
    (one,) = measured(rows, b_value=-1.0, b_spread=0.4).methods
    assert one.fixed_shoot.low < 0
    assert one.left.fixed_whole.low == pytest.approx(one.fixed_shoot.low / (1 - 0.286))


def test_the_tables_grain_stands_in_where_it_was_not_measured():
    found = field(grain_n=None)
    assert found.grain_nitrogen.value == pytest.approx(3000 * 0.0613)
    assert found.grain_nitrogen.sources == ("grain_nitrogen.soybean", "grain_nitrogen_spread.any")
    assert field().grain_nitrogen.sources == ()
    assert "grain_nitrogen.soybean" in found.methods[0].left.net_whole.sources


def test_plots_that_differ_in_grain_widen_all_that_the_grain_is_in():
    apart, alike = (by_plots(grain) for grain in PLOTS)
    for part in ("net_shoot", "net_whole"):
        assert getattr(apart.methods[0].left, part).value == pytest.approx(getattr(alike.methods[0].left, part).value)
        assert width(getattr(apart.methods[0].left, part)) > 1.5 * width(getattr(alike.methods[0].left, part))
    # By hand: standard error of 70, 190, 75 and 185 over 4 plots is 33.3, times t(0.95; 3) of 2.353.
    assert width(apart.grain_nitrogen) / 2 == pytest.approx(33.26 * 2.353, rel=1e-3)
    assert apart.residue_shoot.high == pytest.approx(70 + 33.26 * 2.353, rel=1e-3)
    assert apart.residue_shoot.low == 0  # never below nothing
    assert width(alike.grain_nitrogen) == 0


def test_shoots_that_go_with_their_grain_narrow_the_net_balance():
    # Plots with more grain have more shoot: both err together, and the difference errs less.
    grain = (2000.0, 3200.0, 2200.0, 3000.0)
    together = by_plots(grain, shoot=(6500.0, 9500.0, 7000.0, 9000.0))
    against = by_plots(grain, shoot=(9500.0, 6500.0, 9000.0, 7000.0))
    nets = [found.methods[0].left.net_shoot for found in (together, against)]
    assert width(nets[0]) < width(nets[1])
    assert together.residue_shoot.high < against.residue_shoot.high


def test_a_grain_from_the_table_brings_its_spread():
    found = by_plots(PLOTS[1], grain_n=None)
    # 8 % of 2600 x 0.0613, known as a whole: 1.645 standard errors.
    assert width(found.grain_nitrogen) / 2 == pytest.approx(1.6449 * 0.08 * 2600 * 0.0613, rel=1e-3)
    assert found.grain_nitrogen.grade is Grade.JUDGEMENT
    assert "grain_nitrogen_spread.any" in found.grain_nitrogen.sources


def test_a_row_that_reaches_to_one_side_only_is_told():
    ids = {message.id for message in field().warnings}
    assert "lab.warning.below_ground_least" in ids
    assert not {one.id for one in field(Crop.FABA_BEAN).warnings} & {"lab.warning.below_ground_least"}


def test_one_plot_says_nothing_of_what_is_left():
    found = measured(abundance((1.0,), **HARVEST), Crop.SOYBEAN, KNOWN, b_value=-1.0, b_spread=0.4)
    assert (found.grain_nitrogen, found.residue_shoot, found.credits) == (None, None, ())
    assert found.methods[0].left is None
    assert "lab.warning.one_plot" in {message.id for message in found.warnings}


def test_nothing_is_marked_as_held_by_a_test_that_nobody_took():
    assert not any(credit.held for credit in field().credits)


def test_a_crop_without_its_own_row_takes_that_of_all_pulses():
    assert field(Crop.PEA).residue_below_ground.sources == ("below_ground.any",)
    assert field(Crop.CHICKPEA).residue_below_ground.sources == ("below_ground.chickpea",)


@pytest.mark.parametrize("lacking", ["grain_dry_matter", "shoot_dry_matter", "shoot_n"])
def test_without_a_harvest_nothing_is_said_of_what_is_left(lacking):
    found = field(**{lacking: None})
    assert found.methods[0].share is not None
    assert found.methods[0].left is None
    assert (found.grain_nitrogen, found.residue_shoot, found.credits) == (None, None, ())


def test_a_grain_that_holds_more_than_its_shoot_is_refused():
    found = field(grain_dry_matter=5000.0)
    assert found.methods[0].left is None
    assert "lab.warning.grain_exceeds_shoot" in {message.id for message in found.warnings}


def test_credits_by_hand_each_of_its_own_kind():
    credits = {credit.row: credit for credit in field().credits}
    # 3 t of grain, 5 t of residue, 50 + 63.2 kg of residue nitrogen.
    expected = {
        "credit.any.soil_test": (15, 35, 55),
        "credit.any.soil_test_by_grain": (27, 54, 81),
        "credit.any.soil_test_by_residue": (20, 45, 70),
        # Between the ends of what is below ground, too.
        "credit.any.soil_test_by_residue_nitrogen": (
            0.17 * (50 + 200 / 0.76 - 200),
            0.28 * (50 + 200 / 0.76 - 200),
            0.39 * (50 + 200 / (1 - 0.286) - 200),
        ),
        "credit.soybean.flat_north_dakota": (44.8, 44.8, 44.8),
        "credit.any.saved_europe_acceptable": (60, 60, 60),
        "credit.any.saved_europe_highest": (23, 27, 31),
    }
    assert set(credits) == set(expected)
    for row, figures in expected.items():
        found = credits[row].nitrogen
        assert (found.low, found.value, found.high) == pytest.approx(figures), row


def test_no_figure_mixes_two_kinds():
    rows = {row.id: row for row in KNOWN.of(Credit)}
    for crop in Crop:
        for credit in field(crop, grain_n=2.0).credits:
            assert credit.nitrogen.sources == (credit.row,)
            assert (credit.kind, credit.in_soil_test) == (rows[credit.row].kind, rows[credit.row].in_soil_test)


def test_a_books_own_figure_is_used():
    changed = with_overrides(KNOWN, {"below_ground.soybean": {"value": 0.5}})
    assert field(knowledge=changed).residue_below_ground.value == pytest.approx(200)
