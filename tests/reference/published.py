"""Reads cases/*.toml: inputs, and answers as text, just as they are printed."""

import tomllib
from decimal import Decimal
from pathlib import Path

import pytest

CASES = Path(__file__).parent / "cases"


def cases(*names):
    """Every case of the files named; its id is the source key and the case's own."""
    return [
        pytest.param(case, id=f"{name}:{case['id']}")
        for name in names
        for case in tomllib.loads((CASES / f"{name}.toml").read_text("utf-8"))["case"]
    ]


def as_printed(text):
    """A figure to compare with: right within half a unit of the last digit of the text."""
    half_unit = Decimal(5).scaleb(Decimal(text).as_tuple().exponent - 1)
    return pytest.approx(float(text), abs=float(half_unit) + 1e-12, rel=0)
