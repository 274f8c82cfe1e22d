import pytest

from spadework.records.maturity_group import GROUPS, maturity_group


@pytest.mark.parametrize(
    ("said", "group"),
    [
        *zip(GROUPS, GROUPS, strict=True),
        # Roman figures from I on, as groups are named in the trade: common practice, no source.
        *zip(("I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX", "X"), GROUPS[3:], strict=True),
        (" ii ", "2"),
        ("2.3", "2"),
        ("0,9", "0"),
        ("00.5", "00"),
        ("MG II", "2"),
        ("group 4.1", "4"),
    ],
)
def test_groups_as_they_are_written(said, group):
    assert maturity_group(said) == group


@pytest.mark.parametrize("said", ["", "early", "0000", "11", "02", "IIII", "XI", "-1", "2.", "II.3", "2 or 3", "1-2"])
def test_what_is_no_group_is_not_guessed(said):
    assert maturity_group(said) is None
