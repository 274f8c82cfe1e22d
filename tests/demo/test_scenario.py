"""A row of the scenario that says nothing special must stand for an ordinary field."""

import datetime as dt

from spadework.demo.plants import Nodulation
from spadework.demo.scenario import Inoculant, Situation, SoilTest, Visit
from spadework.demo.season import TODAY
from spadework.knowledge.rows import Crop
from spadework.records.types import CountingUnit, InoculantForm, Wetness


def test_a_bare_situation_is_inoculated_and_has_nothing_odd() -> None:
    bare = Situation(
        name="bare", story="", field="f", called="F", grower="G", crop=Crop.PEA, station=None, sown=None, up=None
    )
    assert [used.form for used in bare.inoculants] == [InoculantForm.PEAT]
    assert bare.host_before is True
    assert (bare.also, bare.soil, bare.handling, bare.sights, bare.visits) == ((), (), (), (), ())


def test_the_usual_inoculant_is_in_date_sown_soon_and_of_the_crops_own_group() -> None:
    usual = Inoculant()
    assert usual.expires_on is not None
    assert usual.expires_on > TODAY
    assert usual.hours_to_sowing is not None
    assert usual.hours_to_sowing < 12
    assert (usual.group, usual.seed_treatment) == (None, None)


def test_the_usual_visit_is_thirty_plants_counted_nodule_by_nodule_and_cut() -> None:
    visit = Visit(on=dt.date(2026, 6, 24), roots=Nodulation(mean=50))
    assert visit.stops * visit.each == 30
    assert (visit.unit, visit.wetness) == (CountingUnit.NODULE, Wetness.MOIST)
    assert (visit.writing.cut, visit.writing.uncut, visit.writing.in_classes) == (5, 0, 0)
    assert visit.writing.second is None


def test_a_soil_test_is_of_the_plough_layer_unless_it_says_otherwise() -> None:
    test = SoilTest(on=dt.date(2026, 4, 1))
    assert (test.top, test.bottom) == (0, 15)
