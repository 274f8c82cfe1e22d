import datetime as dt
import re

import pytest
from hypothesis import given
from hypothesis import settings as hypothesis_settings
from tests.records.strategies import settings

from spadework.knowledge.rows import Crop
from spadework.records import new
from spadework.records.book_toml import BOOK_MEASURES, read_settings, settings_text
from spadework.records.types import (
    CountingUnit,
    LocalBValue,
    LocalTarget,
    LocalUreideLine,
    Prices,
    RescuePlan,
    Settings,
)

HEAD = '[book]\ntitle = "Tiny"\nseason = "2026"\n'
FULL = """\
[book]
title = "North farms"
season = "2026"
region = "the plain"
today = 2026-06-25
seed = 7
hour_price = 60
[units]
temperature = "degF"
area = "ac_us"
[dates]
order = "dmy"
[files]
separator = "semicolon"
decimal = "comma"
[schemes.target]
pea = "target.pea.fifty_nodules"
[schemes.window]
soybean = "window.soybean.presence"
[local_target.lentil]
value = 30
counting_unit = "cluster"
source = "local trials, 2024"
[local_b_value]
pea = -1.1
[local_b_value.lentil]
value = -0.7
standard_error = 0.3
source = "pots, 2025"
[local_ureide_line.soybean]
intercept = 0.08
slope = 0.7
highest = 0.9
[sampling]
settle_at = 0.8
[degree_days]
method = "sine"
[cause_prior]
dead_inoculant = 0.1
[check_price]
soil_nitrate = 45
look_over_field = 0
[prices]
currency = "orl"
pass = 14
dig = 60
[prices.grain]
pea = 310
[prices.nitrogen]
urea_inhibited = 1.45
any = 0
[rescue]
lead_days = 4
dig_again_days = 10
rates = [40, 67.5]
implement_width = 24
strip_bearing = 90
residue = false
[overrides."target.pea.fifty_nodules"]
value = 40
[overrides.first_look.any]
low = 15
high = 20
"""


def faults_of(text):
    return read_settings(text.encode())[1]


def test_every_setting_finds_its_place():
    found, faults = read_settings(FULL.encode())

    assert faults == []
    assert found == Settings(
        title="North farms",
        season="2026",
        region="the plain",
        today=dt.date(2026, 6, 25),
        seed=7,
        units={"temperature": "degF", "area": "ac_us"},
        date_order="dmy",
        separator="semicolon",
        decimal_mark="comma",
        target_scheme={Crop.PEA: "target.pea.fifty_nodules"},
        window_scheme={Crop.SOYBEAN: "window.soybean.presence"},
        local_target={Crop.LENTIL: LocalTarget(30.0, CountingUnit.CLUSTER, "local trials, 2024")},
        local_b_value={Crop.PEA: LocalBValue(-1.1), Crop.LENTIL: LocalBValue(-0.7, 0.3, "pots, 2025")},
        local_ureide_line={Crop.SOYBEAN: LocalUreideLine(0.08, 0.7, highest=0.9)},
        degree_day_method="sine",
        settle_at=0.8,
        cause_prior={"dead_inoculant": 0.1},
        check_price={"soil_nitrate": 45.0, "look_over_field": 0.0},
        hour_price=60.0,
        prices=Prices(
            currency="orl",
            grain={Crop.PEA: 310.0},
            nitrogen={"urea_inhibited": 1.45, "any": 0.0},
            per_pass=14.0,
            dig=60.0,
        ),
        rescue=RescuePlan(
            lead_days=4,
            dig_again_days=10,
            rates=(40.0, 67.5),
            implement_width=24.0,
            strip_bearing=90.0,
            residue=False,
        ),
        overrides={"target.pea.fifty_nodules": {"value": 40.0}, "first_look.any": {"low": 15.0, "high": 20.0}},
    )


@pytest.mark.parametrize("change", [lambda text: "\ufeff" + text, lambda text: text.replace("\n", "\r\n")])
def test_marks_and_line_ends_of_other_systems_do_not_matter(change):
    assert read_settings(change(FULL).encode()) == read_settings(FULL.encode())


def test_lone_carriage_returns_end_lines_too():
    assert read_settings(FULL.replace("\n", "\r").encode()) == read_settings(FULL.encode())


@hypothesis_settings(max_examples=50)
@given(settings())
def test_what_is_written_is_read_back(written):
    assert read_settings(settings_text(written).encode()) == (written, [])


def test_defaults_are_not_written():
    assert settings_text(Settings(title="Tiny", season="2026")) == HEAD


def test_only_measures_of_a_column_have_a_unit_in_the_book():
    assert BOOK_MEASURES == ("temperature", "rain", "area", "depth", "mass_per_area")


@pytest.mark.parametrize(
    ("text", "line", "kind"),
    [
        ("seed = true\n", 4, "type"),
        ("seed = -1\n", 4, "type"),
        ("today = 2026-06-25T08:00:00\n", 4, "type"),
        ('today = "2026-06-25"\n', 4, "type"),
        ("region = 7\n", 4, "type"),
        ('region = " "\n', 4, "type"),
        ("[sampling]\nsettle_at = 1.0\n", 5, "out_of_bounds"),
        ("[sampling]\nsettle_at = nan\n", 5, "type"),
        ("[schemes]\ntargets = 1\n", 5, "unknown"),
        ("[schemes.targets]\npea = 'x'\n", 5, "unknown"),
        ("[local_target.lentil]\nsource = 'x'\n", 4, "missing"),
        ("[local_target.lentil]\nvalue = 0\n", 4, "out_of_bounds"),
        ("[local_target.lentil]\nvalue = 3\nunits = 'x'\n", 4, "unknown"),
        ("[local_target.lentil]\nvalue = 3\ncounting_unit = 'bunch'\n", 4, "choice"),
        ("[local_target]\nlentil = 3\n", 5, "type"),
        ("[local_b_value]\npea = 'low'\n", 5, "type"),
        ("[local_b_value]\npea = -11\n", 5, "out_of_bounds"),
        ("[local_b_value.pea]\nstandard_error = 0.3\n", 4, "missing"),
        ("[local_b_value.pea]\nvalue = -1\nstandard_error = 0\n", 4, "out_of_bounds"),
        ("[local_b_value.pea]\nvalue = -1\nsd = 0.3\n", 4, "unknown"),
        ("[local_b_value.maize]\nvalue = -1\n", 4, "crop"),
        ("[local_ureide_line]\nsoybean = 0.7\n", 5, "type"),
        ("[local_ureide_line.soybean]\nslope = 0.7\n", 4, "missing"),
        ("[local_ureide_line.soybean]\nintercept = 8\nslope = 70\n", 4, "out_of_bounds"),
        ("[local_ureide_line.soybean]\nintercept = 0\nslope = 0\n", 4, "out_of_bounds"),
        ("[local_ureide_line.soybean]\nintercept = 0\nslope = 1\nlowest = 0.9\nhighest = 0.1\n", 4, "out_of_bounds"),
        ("[local_ureide_line.soybean]\nintercept = 0\nslope = 1\npoints = 9\n", 4, "unknown"),
        ("hour_price = 0\n", 4, "out_of_bounds"),
        ("hour_price = '60'\n", 4, "type"),
        ("[cause_prior]\ndead_inoculant = 0\n", 5, "out_of_bounds"),
        ("[cause_prior]\ndead_inoculant = 1.0\n", 5, "out_of_bounds"),
        ("[cause_prior]\ndead_inoculant = 'often'\n", 5, "type"),
        ("[cause_prior]\ncause.dead_inoculant = 0.1\n", 5, "type"),
        ("cause_prior = 0.1\n", 4, "unknown"),
        ("[check_price]\nsoil_nitrate = -1\n", 5, "out_of_bounds"),
        ("[check_price]\nsoil_nitrate = nan\n", 5, "type"),
        ("[prices]\ncurrency = 'more than twelve'\n", 5, "out_of_bounds"),
        ('[prices]\ncurrency = "or\\tl"\n', 5, "out_of_bounds"),
        ("[prices]\npass = -1\n", 5, "out_of_bounds"),
        ("[prices]\npea = 310\n", 5, "unknown"),
        ("[prices]\ngrain = 310\n", 5, "type"),
        ("[prices.pass]\nurea = 3\n", 4, "type"),
        ("[prices.grain]\npae = 310\n", 5, "crop"),
        ("[prices.grain]\npea = 0\n", 5, "out_of_bounds"),
        ("[prices.nitrogen]\nurea = '1.3'\n", 5, "type"),
        ("[rescue]\nlead_days = 61\n", 5, "out_of_bounds"),
        ("[rescue]\ndig_again_days = 0\n", 5, "out_of_bounds"),
        ("[rescue]\nimplement_width = 0\n", 5, "out_of_bounds"),
        ("[rescue]\nrate_step = 0\n", 5, "out_of_bounds"),
        ("[rescue]\nstrip_bearing = 361\n", 5, "out_of_bounds"),
        ("[rescue]\nresidue = 'no'\n", 5, "type"),
        ("[rescue]\nwidth = 24\n", 5, "unknown"),
        ("[overrides]\nx = 3\n", 5, "type"),
        ("[overrides.'a.b']\nvalue = 'many'\n", 4, "type"),
        ("[overrides.a.b]\n", 4, "type"),
    ],
)
def test_what_is_wrong_is_named_with_its_line(text, line, kind):
    (fault,) = faults_of(HEAD + text)

    assert (fault.line, fault.kind) == (line, f"settings.{kind}")
    assert fault.mend


def test_a_setting_outside_its_section_is_told_where_sections_go():
    (fault,) = faults_of("sampling = 0.9\n" + HEAD)

    assert (fault.line, fault.column) == (1, "sampling")
    assert "[sampling]" in fault.mend


def test_all_faults_come_back_and_the_good_settings_with_them():
    found, faults = read_settings((HEAD + "sead = 1\nregion = 'plain'\n[units]\nrain = 'cups'\n").encode())

    assert [fault.column for fault in faults] == ["book.sead", "units.rain"]
    assert found == Settings(title="Tiny", season="2026", region="plain")


def test_a_wrong_title_is_not_called_missing_as_well():
    found, faults = read_settings(b"[book]\ntitle = 3\nseason = '2026'\n")

    assert found is None
    assert [fault.kind for fault in faults] == ["settings.type"]


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("[book\ntitle = 'x'\n", 1),
        (HEAD + "title = 'again'\n", 4),
        (HEAD + "region = 'open\n", 4),
        (HEAD + "region = '''open", 4),
        ("x = " + "[" * 5000, 1),
    ],
)
def test_a_slip_of_toml_gives_its_line(text, line):
    (fault,) = faults_of(text)

    assert fault.kind == "settings.syntax"
    assert fault.line == line


def test_bytes_that_are_no_text_are_refused():
    found, faults = read_settings(b"[book]\ntitle = 'S\xfcd'\n")

    assert found is None
    assert [(fault.kind, fault.line) for fault in faults] == [("file.encoding", 2)]


def test_no_price_is_built_in_and_a_misspelt_crop_is_guessed():
    found, faults = read_settings((HEAD + "[prices.grain]\nlentils = 500\n").encode())

    assert found.prices == Prices()
    assert "Did you mean lentil?" in faults[0].mend


def test_every_sum_of_the_template_of_a_new_book_is_a_setting():
    template = new._BOOK_TOML.replace("# [", "[").replace("\n# ", "\n")
    told = [line for line in template.splitlines() if re.match(r"(\[|\w+ = )", line)]
    money = told[told.index("[prices]") :]
    money = "\n".join(money[: next(place for place, line in enumerate(money) if line.startswith("[overrides"))])

    found, faults = read_settings((HEAD + money).encode())

    assert faults == []
    assert found.prices.grain == {Crop.PEA: 310.0}
    assert found.rescue.implement_width == 24.0
