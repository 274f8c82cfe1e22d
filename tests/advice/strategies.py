"""Visits to search: a few stops of a few plants, counted and cut."""

import hypothesis.strategies as st
from tests.factories import a_plant

_plants = st.tuples(st.integers(0, 120), st.integers(0, 120), st.integers(0, 8), st.integers(0, 10))


@st.composite
def visits(draw, most_stops=3, most_plants=4, cut_all=False):
    """Rows of one visit; some of the nodules that were cut are red and the others white."""
    stops = draw(st.lists(st.lists(_plants, min_size=1, max_size=most_plants), min_size=1, max_size=most_stops))
    rows = []
    for stop, plants in enumerate(stops):
        for number, (crown, lateral, wanted, halves) in enumerate(plants):
            cut = crown + lateral if cut_all else min(wanted, crown + lateral)
            red = draw(st.integers(0, cut))
            colours = {"cut_open": cut, "red_pink": red, "white": cut - red, "green_brown": 0}
            rows.append(a_plant(crown, lateral, stop=str(stop), plant=str(number), vigour=halves / 2, **colours))
    return tuple(rows)


@st.composite
def visits_with_one_more_red(draw, **size):
    """A visit, and the same with one of the nodules cut red instead of white, on one of its plants."""
    rows = draw(visits(**size).filter(lambda rows: any(row.white for row in rows)))
    at = draw(st.sampled_from([at for at, row in enumerate(rows) if row.white]))
    more = rows[at].model_copy(update={"red_pink": rows[at].red_pink + 1, "white": rows[at].white - 1})
    return rows, (*rows[:at], more, *rows[at + 1 :])
