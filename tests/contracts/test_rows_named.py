"""Rows that the explanations name are rows of the knowledge tables."""

import re
from pathlib import Path

import pytest

from spadework.agronomy.season import Parameters
from spadework.knowledge.load import load

ROOT = Path(__file__).resolve().parents[2]
KNOWN = load()
PARAMETERS = set(Parameters.__dataclass_fields__)


def test_rows_named_by_the_balance_are_there():
    text = (ROOT / "docs" / "how-much-nitrogen.md").read_text("utf-8")
    named = set(re.findall(r"`([a-z_]+(?:\.[a-z_]+)*)(?:\*)?`", text))
    ends = {row.rpartition(".")[2] for row in KNOWN.rows if row.startswith("season.")}
    lacking = {name for name in named if "." in name and name not in KNOWN.rows}
    lacking |= {name for name in named if "." not in name and name not in ends | PARAMETERS}

    assert len(named) > 30
    # A stem before a star, as in crop_coefficient_*, stands for all rows that begin so.
    assert {name for name in lacking if not any(end.startswith(name) for end in ends)} == set()


@pytest.mark.parametrize("stem", ["nodulation.", "soil_n.", "weather_ahead."])
def test_groups_of_rows_named_by_the_balance_are_there(stem):
    assert any(row.startswith(stem) for row in KNOWN.rows)
