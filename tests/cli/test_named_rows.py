import pytest
from tests.records.tiny import BOOK, FIELDS, tiny_book

from spadework.cli.named_rows import check_whole_book
from spadework.records.read import check_book


def faults_of(folder, settings, **files):
    book, faults = check_whole_book(tiny_book(folder, book=BOOK + settings, **files))
    assert (book is None) == bool(faults)
    return faults


def test_a_book_that_names_what_is_there_is_in_order(tmp_path):
    settings = (
        '[schemes.target]\npea = "target.pea.fifty_nodules"\n'
        '[degree_days]\nmethod = "sine"\n'
        "[cause_prior]\ndead_inoculant = 0.2\nvirus = 0.1\n"
        "[check_price]\nsoil_nitrate = 45\n"
        "[prices.nitrogen]\nuan_28 = 1.5\nany = 1.3\n"
        '[overrides."target.pea.fifty_nodules"]\nvalue = 40\n'
    )
    assert faults_of(tmp_path, settings) == ()


@pytest.mark.parametrize(
    ("settings", "line", "column", "words"),
    [
        (
            '[schemes.target]\npea = "target.pea.fifty_nodule"\n',
            6,
            "schemes.target.pea",
            ("There is no target scheme 'target.pea.fifty_nodule'.", "Did you mean target.pea.fifty_nodules"),
        ),
        (
            '[schemes.target]\npea = "target.soybean.ten_any_size"\n',
            6,
            "schemes.target.pea",
            ("is a target scheme for soybean, not for pea", "target.pea.fifty_nodules"),
        ),
        (
            '[schemes.window]\nfaba_bean = "target.pea.fifty_nodules"\n',
            6,
            "schemes.window.faba_bean",
            ("is no window scheme, but a row of the table target", "For faba bean there are: "),
        ),
        (
            '[overrides."target.pea.nonsense"]\nvalue = 3\n',
            5,
            "overrides.target.pea.nonsense",
            ("There is no knowledge row 'target.pea.nonsense' to override.", "Did you mean target.pea."),
        ),
        (
            '[overrides."target.pea.fifty_nodules"]\nvalue = 40\nworth = 3\n',
            7,
            "overrides.target.pea.fifty_nodules.worth",
            ("There is no figure 'worth' to override.", "It has value, low,"),
        ),
        (
            "[overrides.target.pea.fifty_nodules]\nlow = 90\nhigh = 20\n",
            5,
            "overrides.target.pea.fifty_nodules",
            ("90", "20"),
        ),
        (
            "[cause_prior]\ndead_inoculum = 0.2\n",
            6,
            "cause_prior.dead_inoculum",
            ("There is no cause 'dead_inoculum'.", "Did you mean dead_inoculant", "Known: dead_inoculant, "),
        ),
        (
            "[check_price]\nsoil_nitrat = 45\n",
            6,
            "check_price.soil_nitrat",
            ("There is no check 'soil_nitrat'.", "Did you mean soil_nitrate", "Known: "),
        ),
        (
            "[prices.nitrogen]\nuaan_28 = 1.5\n",
            6,
            "prices.nitrogen.uaan_28",
            ("There is no product 'uaan_28' for a standing crop.", "Did you mean uan_28", "Known: any, "),
        ),
        (
            "[prices.nitrogen]\nanhydrous_ammonia = 1.1\n",
            6,
            "prices.nitrogen.anhydrous_ammonia",
            ("Anhydrous ammonia is never offered", "Known: any, "),
        ),
        (
            '[degree_days]\nmethod = "sin"\n',
            6,
            "degree_days.method",
            ("There is no degree-day method 'sin'.", "Did you mean sine? ", "Allowed: "),
        ),
    ],
)
def test_each_name_that_stands_for_nothing_is_a_fault_with_its_line(settings, line, column, words, tmp_path):
    (fault,) = faults_of(tmp_path, settings)

    assert (fault.file, fault.line, fault.column, fault.severity) == ("book.toml", line, column, "error")
    for word in words:
        assert word in f"{fault.what} {fault.mend}"


def test_a_setting_whose_line_is_hidden_has_none(tmp_path):
    (fault,) = faults_of(tmp_path, '[schemes]\ntarget = { pea = "target.soybean.ten_any_size" }\n')

    assert (fault.line, fault.column) == (None, "schemes.target.pea")


def test_every_wrong_name_is_listed_in_the_order_of_the_file_and_with_the_other_faults(tmp_path):
    faults = faults_of(
        tmp_path,
        '[overrides."target.pea.fifty_nodules"]\nlwo = 3\nmenn = 4\n'
        '[overrides."a.b"]\nvalue = 1\n'
        '[units]\nrain = "yard"\n'
        '[schemes.target]\npea = "nothing.here"\n',
        fields=FIELDS.replace("pea", "peas"),
    )

    assert [(fault.file, fault.line) for fault in faults] == [
        ("book.toml", 6),
        ("book.toml", 7),
        ("book.toml", 8),
        ("book.toml", 11),
        ("book.toml", 13),
        ("fields.csv", 2),
    ]


@pytest.mark.parametrize("book", [None, "[book\n", '[schemes.target]\npea = "nothing.here"\n', b"\xff\xff"])
def test_settings_that_cannot_be_used_are_told_by_the_records_alone(book, tmp_path):
    folder = tiny_book(tmp_path, book=book)

    assert check_whole_book(folder) == check_book(folder)


def test_check_and_assess_refuse_the_same_book_for_the_same_reasons(run, book):
    path = book / "book.toml"
    path.write_text(
        path.read_text("utf-8")
        + '\n[schemes.target]\npea = "target.soybean.ten_any_size"\n[overrides."target.pea.nonsense"]\nvalue = 3\n',
        "utf-8",
    )

    checked, assessed = run("check", book), run("assess", book)

    assert (checked.exit_code, assessed.exit_code) == (1, 1)
    assert "2 faults" in checked.stdout
    assert "2 faults found" in assessed.stderr
    for fault in check_whole_book(book)[1]:
        assert fault.what in checked.stdout
        assert str(fault) in assessed.stderr
