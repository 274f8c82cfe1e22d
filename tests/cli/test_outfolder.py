import os
import sys
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from spadework.cli.exits import CannotWrite
from spadework.cli.outfolder import OutFolder, file_names

AS_ROOT = hasattr(os, "geteuid") and os.geteuid() == 0


def test_plain_ids_are_their_own_file_names():
    assert file_names(["north-12", "B_7", "4.2"]) == {"north-12": "north-12", "B_7": "B_7", "4.2": "4.2"}


@pytest.mark.parametrize(
    "field_id",
    ["../../etc/passwd", "/root", "a/b", "a\\b", "..", ".", ".hidden", "con", "NUL.x", "a:b", "ends.", "Köln 3", "\n"],
)
def test_no_id_leads_out_of_the_folder_or_to_a_device(field_id, tmp_path):
    name = file_names([field_id])[field_id]

    assert name.startswith("field-")
    assert (tmp_path / f"{name}.pdf").resolve().parent == tmp_path.resolve()


@given(st.lists(st.text(min_size=1, max_size=40), unique=True))
def test_no_two_fields_share_a_file_even_where_capitals_are_alike(ids):
    names = [name.lower() for name in file_names(ids).values()]

    assert len(set(names)) == len(ids)
    assert all(set(name) <= set("abcdefghijklmnopqrstuvwxyz0123456789._-~") for name in names)


def test_ids_that_differ_by_capitals_get_names_that_differ():
    names = file_names(["North", "north"])
    assert names["North"].lower() != names["north"].lower()


def test_a_file_replaces_an_older_one_and_leaves_nothing_behind(tmp_path):
    out = OutFolder(tmp_path / "deep" / "out")
    out.write("fields/a.pdf", b"old")

    path = out.write("fields/a.pdf", b"new")

    assert path.read_bytes() == b"new"
    assert [entry.name for entry in path.parent.iterdir()] == ["a.pdf"]


def test_a_failed_write_keeps_the_older_file(tmp_path, monkeypatch):
    out = OutFolder(tmp_path)
    out.write("verdicts.csv", b"old")

    def no_space(self, content):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "write_bytes", no_space)
    with pytest.raises(CannotWrite, match=r"verdicts\.csv could not be written \(No space left on device\)"):
        out.write("verdicts.csv", b"new")

    monkeypatch.undo()
    assert (tmp_path / "verdicts.csv").read_bytes() == b"old"
    assert [entry.name for entry in tmp_path.iterdir()] == ["verdicts.csv"]


def test_the_folder_may_not_be_a_file(tmp_path):
    (tmp_path / "taken").write_text("mine")

    with pytest.raises(CannotWrite, match="name another folder with --out"):
        OutFolder(tmp_path / "taken")

    assert (tmp_path / "taken").read_text() == "mine"


@pytest.mark.skipif(AS_ROOT or sys.platform == "win32", reason="the superuser may write anywhere")
def test_a_folder_without_leave_to_write(tmp_path):
    locked = tmp_path / "locked"
    locked.mkdir(mode=0o500)

    with pytest.raises(CannotWrite, match="could not be written"):
        OutFolder(locked).write("verdicts.csv", b"")


def test_a_linked_folder_does_not_lead_out(tmp_path):
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    out = OutFolder(tmp_path / "out")
    (tmp_path / "out" / "fields").symlink_to(elsewhere, target_is_directory=True)

    with pytest.raises(CannotWrite, match="would lie outside"):
        out.write("fields/a.pdf", b"")

    assert list(elsewhere.iterdir()) == []


def test_a_linked_file_is_replaced_not_followed(tmp_path):
    precious = tmp_path / "precious"
    precious.write_text("mine")
    out = OutFolder(tmp_path / "out")
    (tmp_path / "out" / "verdicts.csv").symlink_to(precious)

    out.write("verdicts.csv", b"new")

    assert precious.read_text() == "mine"
    assert (tmp_path / "out" / "verdicts.csv").read_bytes() == b"new"
