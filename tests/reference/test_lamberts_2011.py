"""The submaximal cycle test.

Lamberts, Swart, Noakes, Lambert 2011, Br J Sports Med 45:797-804, doi 10.1136/bjsm.2009.061325. Its stages, 6 min at
60 %, 6 min at 80 % and 3 min at 90 % of the maximum, the 90 s of rest and the 2 bpm (a target of 150 accepts
148 to 152) are as an author's page and two trainers' pages print them; the paper itself could not be
opened. The author's page gives 17 min in all: half a minute for calibrating the ergometer, which a home
bike does not need, is left out here. The abstract gives no figure for a drop that could be checked.
"""

import pytest

from rideready.model.fieldtest import FieldTest
from rideready.model.rider import Rider
from rideready.recovery.protocols import protocol_for
from rideready.recovery.ride_test import REST_S, STAGES


def test_the_stages_are_the_published_ones() -> None:
    assert STAGES == ((0.6, 360), (0.8, 360), (0.9, 180))
    assert REST_S == 90
    assert sum(length for _, length in STAGES) + REST_S + 30 == 17 * 60


def test_a_target_of_150_accepts_148_to_152() -> None:
    # 80 % of 187.5 is 150.
    second = protocol_for(FieldTest.RIDE, Rider(max_hr_bpm=187.5)).steps[1]
    assert second.low_bpm == pytest.approx(148)
    assert second.high_bpm == pytest.approx(152)
