from spadework.records.read import read_book


def test_makes_a_book_that_holds_an_example(run, tmp_path):
    result = run("new", tmp_path / "my season")

    assert result.exit_code == 0
    assert len(read_book(tmp_path / "my season").plants) > 0
    assert "  plants.csv\n" in result.stdout
    # The two lines to type next are ready to be typed, spaces in the name included.
    assert result.stdout.splitlines()[-2:] == [
        f"  spadework check '{tmp_path / 'my season'}'",
        f"  spadework assess '{tmp_path / 'my season'}' --out verdicts",
    ]


def test_leaves_a_folder_alone_that_holds_something(run, tmp_path):
    (tmp_path / "plants.csv").write_text("mine")

    result = run("new", tmp_path)

    assert result.exit_code == 1
    assert "left alone" in result.stderr
    assert [path.name for path in tmp_path.iterdir()] == ["plants.csv"]


def test_its_book_passes_check(run, book):
    assert run("check", book).exit_code == 0
