import dataclasses
import datetime as dt

import pytest
from tests.report.decisions import a_decision, dig_again, left_alone

from spadework.advice import messages as sentences
from spadework.advice.messages import render
from spadework.cli.choices import Format, UnitSystem
from spadework.cli.season_table import print_verdicts
from spadework.quantity import Grade


@pytest.fixture
def shown(capsys, monkeypatch):
    """Print verdicts at a width; returns the lines."""

    def at(all_advice, width):
        monkeypatch.setenv("COLUMNS", str(width))
        print_verdicts(all_advice, Format.TABLE, UnitSystem.METRIC)
        return capsys.readouterr().out.splitlines()

    return at


def test_every_field_has_a_row_and_nothing_is_cut(all_advice, shown):
    for width in (80, 110, 140):
        lines = shown(all_advice, width)
        assert max(map(len, lines)) <= width
        assert "…" not in "".join(lines)
        starts = [line.split()[0] for line in lines if line.split()]
        assert [advice.field for advice in all_advice if starts.count(advice.field) != 1] == []


def test_a_wide_window_takes_one_line_a_field(all_advice, shown):
    head, _, *rows = shown(all_advice, 170)[: 2 + len(all_advice)]

    assert head.split() == [
        "Field",
        "Crop",
        "Decision",
        "By",
        "Dug",
        "Time",
        "Verdict",
        "Adequate",
        "Interval",
        "Index",
        "More",
        "plants",
    ]
    assert [row.split()[0] for row in rows] == [advice.field for advice in all_advice]


def test_a_narrow_window_takes_two(all_advice, shown):
    lines = shown(all_advice[:2], 80)

    assert lines[0].split() == ["Field", "Decision", "Dug", "Verdict", "Adequate"]
    assert lines[1].split() == ["Crop", "By", "Time", "More", "plants", "Interval", "Index"]
    assert lines[3].startswith(all_advice[0].field)
    assert lines[5].startswith(all_advice[1].field)


def test_a_long_name_is_folded_and_whole(all_advice, shown):
    name = "a-field-whose-name-has-forty-letters-xyz"
    lines = shown([dataclasses.replace(all_advice[0], field=name), all_advice[1]], 80)

    body = lines[3 : lines.index("")]
    assert name in "".join(line.split("  ")[0].strip() for line in body)
    assert max(map(len, lines)) <= 80


def test_a_figure_on_judgement_bears_a_star_and_no_other_does(all_advice, shown):
    judged = next(advice for advice in all_advice if advice.verdict)
    assert judged.verdict.share.grade is Grade.JUDGEMENT
    share = dataclasses.replace(judged.verdict.share, grade=Grade.READ)
    read = dataclasses.replace(judged, field="read", verdict=dataclasses.replace(judged.verdict, share=share))
    rows = {line.split()[0]: line for line in shown([judged, read], 140)[2:4]}
    assert " %*" in rows[judged.field]
    assert " %*" not in rows["read"]


def test_doubt_about_the_time_is_shown(all_advice, shown):
    timing = dataclasses.replace(all_advice[0].timing, state="in_window", sure=False)
    doubtful = dataclasses.replace(all_advice[0], timing=timing)
    certain = dataclasses.replace(all_advice[1], timing=dataclasses.replace(timing, sure=True))

    first, second = shown([doubtful, certain], 120)[2:4]

    assert "in the window?" in first
    assert "in the window?" not in second


@pytest.mark.parametrize("state", ["too_early", "first_look", "too_late", "in_window", "unknown"])
def test_a_dig_at_the_wrong_time_is_not_held_against_the_crop(all_advice, shown, state):
    settled = next(each for each in all_advice if each.sampling and each.sampling.settled)
    advice = dataclasses.replace(settled, timing=dataclasses.replace(settled.timing, state=state))

    row = shown([advice, advice], 140)[2]

    at_wrong_time = state in ("too_early", "first_look", "too_late")
    assert (f"({advice.verdict.leading} " in row) is at_wrong_time
    assert ("settled" in row) is not at_wrong_time


def test_what_is_not_known_is_a_dash(all_advice, shown):
    bare = dataclasses.replace(all_advice[0], verdict=None, index=None, sampling=None, decision=None)
    assert shown([bare, bare], 120)[2].split().count("–") == 5
    assert shown([bare, dataclasses.replace(bare, decision=left_alone())], 120)[2].split().count("–") == 7


def test_patches_and_quarrels_of_scorers_stand_below(all_advice, shown):
    text = " ".join(" ".join(shown(all_advice, 120)).split())
    patches = [advice for advice in all_advice if advice.verdict and advice.verdict.patch]

    assert patches
    for advice in patches:
        assert f"{advice.field}: {render(advice.verdict.patch.message)}" in text


def test_missing_records_are_counted_once_each(all_advice, shown):
    text = " ".join(" ".join(shown(all_advice, 120)).split())
    without = sum(any(part.record == "organic_matter" for part in advice.missing) for advice in all_advice)

    assert without
    assert f"organic matter ({without} field{'' if without == 1 else 's'}): " in text


def test_rows_on_judgement_and_the_books_own_are_named(all_advice, shown):
    lines = shown(all_advice, 120)
    text = " ".join(" ".join(lines).split())

    for advice in all_advice:
        for row in advice.basis.rows:
            if row.overridden or row.grade is Grade.JUDGEMENT:
                assert row.row in text
    assert "Figures from the book itself" in lines
    assert "Rest on judgement (grade C)" in lines


def test_each_caution_stands_there_once(all_advice, shown):
    text = " ".join(" ".join(shown(all_advice, 120)).split())
    for message in all_advice[0].cautions:
        assert text.count(render(message)) == 1


def test_one_field_is_told_in_full(all_advice, shown):
    lines = shown(all_advice[:1], 100)
    assert "Why this verdict" in lines
    assert "How to read it" not in lines


def test_no_fields_no_trouble(shown):
    head, _, *rest = shown([], 80)
    assert head.startswith("Field")
    assert rest == []


def test_formats_other_than_a_table_print_nothing_else(all_advice, capsys):
    print_verdicts(all_advice[:1], Format.CSV, UnitSystem.METRIC)
    assert len(capsys.readouterr().out.splitlines()) == 2


def test_likely_causes_are_named_by_field(all_advice, shown):
    text = " ".join(" ".join(shown(all_advice, 140)).split())
    few = [advice for advice in all_advice if advice.field in ("north-04", "south-04", "north-01")]
    assert "Likely causes" in text
    text = " ".join(" ".join(shown(few, 140)).split())
    packed, eaten = (next(one for one in few if one.field == name) for name in ("north-04", "south-04"))
    assert f"north-04: {render(packed.diagnosis.headline)}" in text
    assert f"south-04: {render(eaten.diagnosis.headline)}" in text
    assert "north-01: " not in text  # nothing is wrong there


def test_fields_short_of_nitrogen_and_likely_so_are_named(all_advice, shown):
    text = " ".join(" ".join(shown(all_advice, 140)).split())
    balances = [(advice, advice.nitrogen) for advice in all_advice if advice.nitrogen is not None]
    short = [advice for advice, found in balances if found.state == "short"]
    doubtful = [advice for advice, found in balances if found.state == "cannot_tell"]
    assert short
    for advice in short:
        assert f"{advice.field}: {render(advice.nitrogen.headline)}" in text
    for advice in doubtful:
        told = f"{advice.field}: {render(advice.nitrogen.headline)}" in text
        assert told is (advice.nitrogen.chance_of_gap >= 0.5)
    assert not any(render(found.headline) in text for _, found in balances if found.state == "enough")


@pytest.fixture
def decided(all_advice, monkeypatch):
    """Four fields: one to be given nitrogen, one to dig again sooner, one left alone, one without a decision."""
    known = {**sentences.catalogue(), "test.sentence": "{text}"}
    monkeypatch.setattr(sentences, "catalogue", lambda language="en": known)
    day = all_advice[0].advised_on
    made = (
        a_decision(act_by=day + dt.timedelta(days=9)),
        dig_again(act_by=day + dt.timedelta(days=4)),
        left_alone("too_late"),
        None,
    )
    return [dataclasses.replace(advice, decision=decision) for advice, decision in zip(all_advice, made, strict=False)]


def test_the_decision_stands_in_each_row(decided, shown):
    for width in (80, 160):
        text = " ".join(" ".join(shown(decided, width)).split())
        for words in ("give nitrogen", "dig again", "leave it", decided[1].decision.act_by.isoformat()):
            assert words in text
    lines = shown(decided, 80)
    assert max(map(len, lines)) <= 80


def test_what_waits_for_a_day_is_told_the_nearest_first(decided, shown):
    text = " ".join(" ".join(shown(decided, 120)).split())
    give, dig = (f"{advice.field}: {render(advice.decision.headline)}" for advice in decided[:2])
    assert text.index("To do first") < text.index(dig) < text.index(give)
    assert f"{decided[2].field}: {render(decided[2].decision.headline)}" not in text


def test_a_season_without_decisions_has_no_column_for_them(all_advice, shown):
    lines = shown([dataclasses.replace(advice, decision=None) for advice in all_advice], 140)
    assert "Decision" not in lines[0]
    assert "To do first" not in lines


def test_nothing_of_one_field_is_left_to_the_json(decided, shown):
    many = tuple(
        dataclasses.replace(sentence, values={"text": f"Caution {n}."})
        for n, sentence in enumerate(a_decision().cautions * 7)
    )
    advice = dataclasses.replace(decided[0], decision=a_decision(cautions=many))
    text = " ".join(" ".join(shown([advice], 120)).split())
    assert all(f"Caution {n}." in text for n in range(len(many)))
    assert "--format json holds them all" not in text
