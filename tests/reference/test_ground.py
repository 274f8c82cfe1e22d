"""Distances and areas on the ellipsoid, and the power of comparisons, against printed answers and libraries."""

import math

import pytest
from pyproj import Geod
from shapely import Point
from statsmodels.stats.power import TTestPower
from tests.reference.published import as_printed, cases

from spadework.agronomy.ground.comparison import least_difference_paired
from spadework.agronomy.ground.plane import area_of, plane_about


def degrees(parts):
    """Degrees, minutes and seconds as degrees; the sign stands on the degrees."""
    whole, minutes, seconds = parts
    return math.copysign(abs(whole) + minutes / 60 + seconds / 3600, whole)


@pytest.mark.parametrize("case", cases("flinders_peak"))
def test_the_plane_gives_a_surveyed_line_its_length_and_bearing(case):
    plane = plane_about([(degrees(case["from_longitude"]), degrees(case["from_latitude"]))])
    there = Point(degrees(case["to_longitude"]), degrees(case["to_latitude"]))
    east, north = plane.metres(there).coords[0]

    assert math.hypot(east, north) == as_printed(case["length"])
    # 306 deg 52 min 5.37 s.
    assert math.degrees(math.atan2(east, north)) % 360 * 3600 == as_printed(case["bearing_seconds"])


@pytest.mark.parametrize("latitude", [-60.0, -34.6, 0.0, 27.8, 51.2, 65.0])
def test_area_of_a_cell_of_the_grid_by_the_closed_form(latitude):
    """Area between two meridians and two parallels of the ellipsoid (Snyder 1987, equation 3-12, from memory).

    Sides along parallels are not geodesics: over 0.01 deg the difference is below 1e-6 of the area.
    """
    axis, flattening = 6378137.0, 1 / 298.257223563
    e2 = flattening * (2 - flattening)
    e = math.sqrt(e2)

    def q(sine):
        return (1 - e2) * (sine / (1 - e2 * sine**2) + math.atanh(e * sine) / e)

    south, north = (math.sin(math.radians(latitude + half)) for half in (-0.005, 0.005))
    exact = axis**2 * math.radians(0.01) * (q(north) - q(south)) / 2
    west, east, low, high = 85.0, 85.01, latitude - 0.005, latitude + 0.005
    cell = ((((west, low), (east, low), (east, high), (west, high), (west, low)),),)

    assert area_of(cell) == pytest.approx(exact, rel=1e-6)


def test_area_of_a_field_against_the_geodesy_library():
    ring = ((85.40, -34.60), (85.412, -34.602), (85.409, -34.594), (85.404, -34.590), (85.40, -34.60))
    longitudes, latitudes = zip(*ring, strict=True)
    theirs, _ = Geod(ellps="WGS84").polygon_area_perimeter(longitudes, latitudes)

    assert area_of(((ring,),)) == pytest.approx(theirs, rel=1e-12)


@pytest.mark.parametrize("power", [0.6, 0.8, 0.95])
@pytest.mark.parametrize("confidence", [0.8, 0.9, 0.95])
@pytest.mark.parametrize("number", [3, 6, 12, 30])
def test_power_of_the_least_difference_against_statsmodels(number, confidence, power):
    """Their power at our difference is the power asked for; with two pairs theirs is NaN, as a tail of SciPy is."""
    asked = {"confidence": confidence, "power": power}
    paired = least_difference_paired(pairs=number, sd=1.0, **asked)

    assert TTestPower().power(paired, nobs=number, alpha=1 - confidence) == pytest.approx(power, abs=1e-7)
