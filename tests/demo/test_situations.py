"""The scenario: every situation that advisers meet is there, once, and said in plain words."""

import datetime as dt
import statistics

from spadework.demo.places import STATIONS
from spadework.demo.situations import SITUATIONS
from spadework.knowledge.load import load
from spadework.knowledge.rows import Crop, Finding
from spadework.records.types import CountingUnit, InoculantForm, LeafColour, SizeClass, Texture, Wetness

# What the demo promises to show, in the words of its table.
PROMISED = {
    "well nodulated",
    "poor on new land without inoculant",
    "none at all",
    "borderline with few plants",
    "patch in a wet hole",
    "pale strips",
    "laterals only",
    "crown and laterals",
    "white inside, too early",
    "green and brown, too late",
    "dug too early",
    "first look only",
    "stage seen overrides the calendar",
    "cold spring",
    "count classes",
    "counts and classes mixed",
    "clusters counted",
    "few clusters",
    "clusters without a nodule target",
    "nothing cut open",
    "some plants uncut",
    "two scorers agree",
    "two scorers disagree",
    "high nitrate",
    "acid soil",
    "sandy soil",
    "dry seedbed",
    "waterlogged dig",
    "pale old leaves",
    "pale young leaves",
    "treated seed",
    "wrong group on the label",
    "expired lot",
    "poor host",
    "local target",
    "no target",
    "second dig a week later",
    "no weather station",
    "weather missing for weeks",
    "no dig",
    "window opens soon",
    "missing sowing date",
    "missing emergence",
    "very many plants",
    "very few plants",
    "across the new year",
    "sparse and uneven",
    "in time, and a part failed",
    "in time, but not worth it",
    "in time, dig again first",
    "packed soil",
    "herbicide residue",
    "nodule larvae",
    "salt",
}


def test_every_promised_situation_is_there_once() -> None:
    shown = [name for situation in SITUATIONS for name in (situation.name, *situation.also)]
    assert sorted(shown) == sorted(PROMISED)


def test_names_fields_and_stories_are_unique_and_readable() -> None:
    assert len({situation.field for situation in SITUATIONS}) == len(SITUATIONS)
    assert len({situation.called for situation in SITUATIONS}) == len(SITUATIONS)
    assert len({situation.story for situation in SITUATIONS}) == len(SITUATIONS)
    for situation in SITUATIONS:
        assert situation.story.endswith(".")
        assert 30 < len(situation.story) <= 110


def test_stations_exist_and_days_run_forward() -> None:
    stations = {station.station for station in STATIONS}
    for situation in SITUATIONS:
        assert situation.station is None or situation.station in stations
        days = [day for day in (situation.sown, situation.up) if day is not None]
        days += [visit.on for visit in situation.visits]
        assert days == sorted(days), situation.field


def by_name(name: str):
    return next(s for s in SITUATIONS if name in (s.name, *s.also))


def test_each_situation_holds_what_its_name_says() -> None:
    def visit(name: str):
        return by_name(name).visits[-1]

    assert by_name("poor on new land without inoculant").inoculants[0].form is InoculantForm.NONE
    assert by_name("poor on new land without inoculant").host_before is False
    assert visit("none at all").roots.mean == 0
    assert visit("borderline with few plants").stops * visit("borderline with few plants").each == 12
    assert visit("laterals only").roots.crown < 0.1
    assert visit("white inside, too early").roots.white == 1
    assert visit("white inside, too early").roots.size is SizeClass.UNDER_2_MM
    assert visit("green and brown, too late").stage == 79
    assert (visit("dug too early").on - by_name("dug too early").up).days == 10
    assert dt.timedelta(14) <= visit("first look only").on - by_name("first look only").up <= dt.timedelta(21)
    assert by_name("across the new year").sown.year + 1 == visit("across the new year").on.year
    assert visit("clusters counted").unit is CountingUnit.CLUSTER
    assert visit("few clusters").roots.mean < 5
    assert by_name("clusters without a nodule target").crop is Crop.LENTIL
    assert max(test.nitrate for test in by_name("high nitrate").soil) > 56
    assert min(test.ph for test in by_name("acid soil").soil) < 5
    assert max(test.ec or 0 for test in by_name("salt").soil) > 2
    assert by_name("sandy soil").texture is Texture.SAND
    assert by_name("missing emergence").up is None
    assert by_name("missing sowing date").sown is None
    assert by_name("no weather station").station is None
    assert by_name("no dig").visits == ()
    assert by_name("expired lot").inoculants[0].expires_on < by_name("expired lot").sown
    assert by_name("wrong group on the label").inoculants[0].group == "pea and lentil"
    assert by_name("treated seed").inoculants[0].seed_treatment == "thiram"
    assert visit("waterlogged dig").wetness is Wetness.WATERLOGGED
    assert visit("very many plants").stops * visit("very many plants").each == 60
    assert visit("very few plants").stops * visit("very few plants").each == 6
    first, second = (visit.on for visit in by_name("second dig a week later").visits)
    assert (second - first).days == 7


def test_what_was_seen_beside_is_in_the_words_of_the_findings_but_for_one_free_remark() -> None:
    findings = {row.name: row.group for row in load().of(Finding)}
    free = []
    for situation in SITUATIONS:
        for sight in situation.sights:
            subject, value = sight.subject.replace(" ", "_"), sight.value.replace(" ", "_")
            if subject in findings.values():
                assert findings[value] == subject, situation.name
            elif subject in findings:
                assert value in ("yes", "no"), situation.name
            else:
                free.append(situation.name)
    assert free == ["treated seed"]


def test_stations_show_the_weather_that_the_stories_speak_of(demo) -> None:
    def days(station: str, first: dt.date, last: dt.date):
        return [row for row in demo.weather if row.station == station and first <= row.W_DATE <= last]

    may = dt.date(2026, 5, 1), dt.date(2026, 5, 31)
    warmth = {s: statistics.mean(row.TMAX for row in days(s, *may)) for s in ("mill", "ridge")}
    assert warmth["mill"] < warmth["ridge"] - 3
    dry = by_name("dry seedbed")
    assert sum(row.RAIN for row in days(dry.station, dry.sown, dry.sown + dt.timedelta(16))) == 0
    gap = by_name("weather missing for weeks")
    assert len(days(gap.station, gap.sown, gap.visits[0].on)) < 15


def test_rows_look_the_way_the_stories_say(demo_fields) -> None:
    def rows(name: str):
        return [row for row in demo_fields[by_name(name).field].plants if row.scorer == "A"]

    def totals(name: str) -> list[int]:
        return [row.crown_nodules.low + row.lateral_nodules.low for row in rows(name)]

    assert set(totals("none at all")) == {0}
    assert statistics.mean(totals("well nodulated")) > 90
    assert statistics.mean(totals("poor on new land without inoculant")) < 15
    hole = [row.crown_nodules.low for row in rows("patch in a wet hole") if row.stop == "3"]
    around = [row.crown_nodules.low for row in rows("patch in a wet hole") if row.stop != "3"]
    assert statistics.mean(hole) < 0.2 * statistics.mean(around)
    crown = sum(row.crown_nodules.low for row in rows("laterals only"))
    assert crown < 0.1 * sum(totals("laterals only"))
    assert all(row.crown_nodules.high is None or row.crown_nodules.high != row.crown_nodules.low
               or row.crown_nodules.low == 0 for row in rows("count classes"))  # fmt: skip
    mixed = {row.lateral_nodules.is_exact for row in rows("counts and classes mixed")}
    assert mixed == {True, False}
    assert {row.cut_open for row in rows("nothing cut open")} == {None}
    pale_old = [row.leaf_old is not LeafColour.GREEN for row in rows("pale old leaves")]
    pale_young = [row.leaf_young is not LeafColour.GREEN for row in rows("pale young leaves")]
    assert sum(pale_old) > 0.7 * len(pale_old)
    assert sum(pale_young) > 0.6 * len(pale_young)
    green = [row.leaf_old is LeafColour.GREEN for row in rows("high nitrate")]
    assert all(green)
    assert statistics.mean(row.vigour for row in rows("high nitrate")) > 4
