from dataclasses import replace

import pytest

from spadework.errors import KnowledgeError
from spadework.knowledge.rows import AmmoniaLoss, Fertiliser, RescueEvidence, RescueLimit, Spreading
from spadework.quantity import Grade

CARRIED = {"id": "some.row", "scope": "anywhere", "source": "someone", "grade": Grade.READ}
UREA = Fertiliser(**CARRIED, value=0.46, unit="1", form="dry", urea="all", offered=True)
STREAMS = Spreading(**CARRIED, value=0.03, unit="1", rank=3, products=("urea",), offered=True)
TEN_DAYS = AmmoniaLoss(**CARRIED, value=0.25, unit="1", days=10.0)
WEEKS = RescueLimit(**CARRIED, unit="d", best_until_days=42.0, too_late_days=56.0)
STAGE = RescueLimit(**CARRIED, unit="BBCH", best_until_bbch=60, too_late_bbch=71)
EVIDENCE = RescueEvidence(**CARRIED, trials="near")


def test_a_product_is_called_by_the_last_word_of_its_id():
    assert replace(UREA, id="rescue.product.uan_28").name == "uan_28"


@pytest.mark.parametrize(
    ("row", "changed", "message"),
    [
        (UREA, {"unit": "%"}, "unit is '%'; a share is in 1"),
        (UREA, {"value": 1.2}, "a share lies from 0 to 1"),
        (UREA, {"value": 0.0}, "a product without nitrogen is none"),
        (UREA, {"low": 0.0, "high": 0.5}, "a product without nitrogen is none"),
        (UREA, {"form": "powder"}, "form 'powder' is not one of dry, liquid, gas"),
        (UREA, {"urea": "some"}, "urea 'some' is not one of all, half, none"),
        (UREA, {"urea": "none", "inhibited": True}, "a urease inhibitor has nothing to hold"),
        (STREAMS, {"rank": 0}, "needs a rank from 1 on, and products"),
        (STREAMS, {"products": ()}, "needs a rank from 1 on, and products"),
        (STREAMS, {"low": -0.1, "high": 0.1}, "a share lies from 0 to 1"),
        (TEN_DAYS, {"days": -1.0}, "days is -1; it is at least 0"),
        (WEEKS, {"too_late_days": None}, "needs best_until_days and too_late_days, or best_until_bbch"),
        (WEEKS, {"best_until_days": None, "too_late_days": None}, "needs best_until_days and too_late_days"),
        (WEEKS, {"best_until_bbch": 60, "too_late_bbch": 71}, "needs best_until_days and too_late_days, or"),
        (WEEKS, {"best_until_days": 56.0}, "it is too late at 56, which does not come after the best time, 56"),
        (WEEKS, {"unit": "BBCH"}, "unit is 'BBCH'; here it is d"),
        (STAGE, {"unit": "d"}, "unit is 'd'; here it is BBCH"),
        (STAGE, {"best_until_bbch": 59}, "codes lie from 60 to 89"),
        (STAGE, {"too_late_bbch": 90}, "codes lie from 60 to 89"),
        (EVIDENCE, {"trials": "many"}, "trials 'many' is not one of trials, near, none"),
    ],
)
def test_what_does_not_fit_is_refused(row, changed, message):
    with pytest.raises(KnowledgeError, match=message):
        replace(row, **changed)
