"""A nitrogen balance as the pages meet it: invented figures, a field that may run short."""

import datetime as dt
from dataclasses import replace

from spadework.advice.message import Message
from spadework.advice.nitrogen.left import NitrogenLeft
from spadework.advice.nitrogen.value import Driver, Nitrogen, NitrogenCourse
from spadework.quantity import Grade, Quantity

SOWN = dt.date(2026, 5, 6)
_GROWTH = (0.0, 0.01, 0.05, 0.16, 0.38, 0.63, 0.83, 0.94, 0.99, 1.0)  # a lying S, a tenth of the season a step


def say(text):
    return Message("test.sentence", {"text": text})


def amount(value, low, high, unit="kg/ha"):
    return Quantity(value, unit, low, high, 0.90, grade=Grade.JUDGEMENT)


def a_course(*, need=(142, 151, 162), supply=(70, 96, 126), soil=(34, 61, 101), fixed=(9, 33, 75)):
    ends = {"need": need, "supply": supply, "soil": soil, "fixed": fixed}
    lines = {
        f"{name}_{end}": tuple(round(total * part, 1) for part in _GROWTH)
        for name, totals in ends.items()
        for end, total in zip(("low", "mid", "high"), totals, strict=True)
    }
    return NitrogenCourse(days=tuple(SOWN + dt.timedelta(days=11 * step) for step in range(len(_GROWTH))), **lines)


def a_nitrogen(**changes):
    nitrogen = Nitrogen(
        state="cannot_tell",
        headline=say("Whether there is nitrogen enough for 3 t/ha cannot be told yet: the gap may be 0 to 83 kg/ha."),
        reasons=(say("A yield of 3 t/ha needs 142 to 162 kg/ha of nitrogen."), say("No nitrate test was taken.")),
        expected_yield=Quantity(3.0, "t/ha"),
        required=amount(151.2, 142.0, 162.0),
        fixed=amount(32.7, 8.6, 74.7),
        fixed_so_far=amount(17.4, 4.7, 41.8),
        from_soil=amount(61.3, 33.8, 100.5),
        from_seed=amount(6.2, 4.1, 8.0),
        fixed_share=amount(0.32, 0.11, 0.58, "1"),
        gap_today=amount(16.5, 0.0, 43.9),
        gap_at_maturity=amount(45.7, 0.0, 83.2),
        chance_of_gap=0.79,
        gap_that_matters=Quantity(0.15, "1", sources=("gap.that_matters",), grade=Grade.JUDGEMENT),
        yield_loss=amount(0.62, 0.0, 1.31, "t/ha"),
        nodulation=amount(0.23, 0.07, 0.59, "1"),
        nodulation_from="as_dug",
        soil_n_at_sowing=amount(50.0, 27.0, 84.0),
        soil_n_from="not_tested",
        applied=None,
        weather_from="normals",
        flowers=(dt.date(2026, 6, 28), dt.date(2026, 7, 4)),
        ripens=(dt.date(2026, 7, 30), dt.date(2026, 8, 13)),
        drivers=(
            Driver("nodulation", 0.41, say("How well the nodules work makes 41 % of the doubt: cut nodules open.")),
            Driver("soil_n", 0.17, say("Mineral nitrogen at sowing makes 17 % of the doubt: a test would narrow it.")),
        ),
        course=a_course(),
        left=NitrogenLeft(
            grain=amount(105.0, 95.0, 115.0),
            net_shoot=amount(-72.0, -100.0, -30.0),
            net_whole=amount(-60.0, -92.0, -10.0),
            residue_shoot=amount(30.0, 22.0, 41.0),
            residue_below_ground=amount(28.0, 15.0, 45.0),
            credits=(),
            messages=(say("Grain takes more nitrogen away than nodules gave."),),
            rows=(),
        ),
        rows=("gap.that_matters",),
    )
    return replace(nitrogen, **changes)
