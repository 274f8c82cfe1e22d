"""The palette: classes stay apart in grey, texts stay readable."""

import io
import tomllib
from itertools import combinations, pairwise
from pathlib import Path

import pypdfium2
import pytest
from PIL import Image, ImageColor

import spadework.report
from spadework.report import UnitSystem, field_report

PALETTE = tomllib.loads((Path(spadework.report.__file__).parent / "look.toml").read_text(encoding="utf-8"))
WHITE = "#ffffff"


def grey(colour):
    """Grey of 0 to 255 that a printer makes of it (ITU-R BT.601 luma, as Pillow converts)."""
    return Image.new("RGB", (1, 1), ImageColor.getrgb(colour)).convert("L").getpixel((0, 0))


def contrast(one, other):
    """Contrast ratio of WCAG 2.1, section 'contrast ratio', from its relative luminance."""

    def luminance(colour):
        parts = [part / 255 for part in ImageColor.getrgb(colour)]
        linear = [part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_contrast_of_black_on_white_is_21():
    # WCAG 2.1: ratios run from 1 to 21.
    assert contrast("#000000", WHITE) == pytest.approx(21)


@pytest.mark.parametrize("name", ["shade", "solid", "inside", "supply"])
def test_classes_differ_in_grey(name):
    greys = [grey(colour) for colour in PALETTE[name]]
    assert len(greys) == 3
    assert min(abs(one - other) for one, other in combinations(greys, 2)) >= 24


def test_band_grounds_grow_lighter_from_worst_to_best():
    greys = [grey(colour) for colour in PALETTE["shade"]]
    assert all(worse < better for worse, better in pairwise(greys))


@pytest.mark.parametrize("ground", [WHITE, PALETTE["wash"]])
@pytest.mark.parametrize("name", ["ink", "soft", "accent"])
def test_texts_meet_the_contrast_of_wcag_aa(name, ground):
    # WCAG 2.1 success criterion 1.4.3: at least 4.5 to 1 for body text.
    assert contrast(PALETTE[name], ground) >= 4.5


@pytest.mark.parametrize("ground", [*PALETTE["shade"], *PALETTE["supply"]])
def test_marks_stand_out_from_the_bands(ground):
    # WCAG 2.1 success criterion 1.4.11: at least 3 to 1 for parts of a graphic; marks and lines are in ink.
    assert contrast(PALETTE["ink"], ground) >= 3


def test_a_grey_print_shows_all_three_bands(situation):
    pdf = field_report(situation("patchy"), paper="a4", units=UnitSystem.METRIC)
    document = pypdfium2.PdfDocument(io.BytesIO(pdf))
    picture = document[0].render(scale=1).to_pil().convert("L")
    document.close()
    counts = picture.histogram()
    for colour in PALETTE["shade"]:
        assert counts[grey(colour)] > 2000


def test_a_grey_print_tells_soil_nodules_and_what_nodules_may_give_apart(situation):
    pdf = field_report(situation("good"), paper="a4", units=UnitSystem.METRIC)
    document = pypdfium2.PdfDocument(io.BytesIO(pdf))
    counts = document[0].render(scale=1).to_pil().convert("L").histogram()
    document.close()
    for colour in PALETTE["supply"]:
        assert counts[grey(colour)] > 200
