"""Results of field tests come back as they were kept, one a day of each test."""

import datetime as dt
from dataclasses import replace
from pathlib import Path

from rideready.model.fieldtest import (
    BandReading,
    Burst,
    Counting,
    FieldTest,
    FieldTestResult,
    Figure,
    Measure,
    PulseCount,
    Stage,
)
from rideready.model.fieldtest_history import DatedResult
from rideready.model.reason import because
from rideready.services.context import Context, open_context
from rideready.store.fieldtests import KeptTest, kept_tests, put_test

#: Every part that a result can have, figures invented.
FULL = FieldTestResult(
    test=FieldTest.HARVARD,
    counting=Counting.RECORDING,
    figures=(Figure(Measure.FITNESS_INDEX, 62.5, 60.0, 65.0),),
    bands=(
        BandReading(
            "Brouha 1943",
            "low average",
            ("high average", "low average"),
            is_chosen=False,
            notes=(because("fieldtest.above_table", count=130.0, last=128.0, label="very poor"),),
        ),
    ),
    counts=(PulseCount(60.0, 30.0, 90.5, 0.7),),
    bursts=(Burst(1, 45.0, None, 161.0, 30.5, 1.5),),
    stages=(Stage(0.6, 108.0, None, None, is_held=False, power_w=None),),
    stop_s=390.0,
    was_by_protocol=False,
    reasons=(because("fieldtest.stopped_early", seconds=200.0, full=300.0), because("fieldtest.counts_rise")),
)
DAY = dt.date(2026, 9, 1)


def _opened(place: Path | str) -> Context:
    return open_context(place, rider="Runa", today=DAY)


def test_a_result_comes_back_as_it_was_kept(place: Path | str) -> None:
    ctx, kept = _opened(place), KeptTest(DatedResult(DAY, FULL, "wrist recorder"))
    with ctx.store.writing() as connection:
        put_test(connection, ctx.rider_id, kept)
    with ctx.store.reading() as connection:
        assert kept_tests(connection, ctx.rider_id) == [kept]
        assert kept_tests(connection, ctx.rider_id + 1) == []


def test_a_second_result_of_a_day_corrects_the_first_and_no_other(place: Path | str) -> None:
    ctx = _opened(place)
    first = KeptTest(DatedResult(DAY, FULL))
    later = KeptTest(DatedResult(DAY + dt.timedelta(7), FULL))
    other = KeptTest(DatedResult(DAY, replace(FULL, test=FieldTest.YMCA)))
    corrected = KeptTest(DatedResult(DAY, replace(FULL, figures=(Figure(Measure.FITNESS_INDEX, 75.0),))))
    with ctx.store.writing() as connection:
        for kept in (later, first, other, corrected):
            put_test(connection, ctx.rider_id, kept)
    with ctx.store.reading() as connection:
        assert kept_tests(connection, ctx.rider_id, test=FieldTest.HARVARD) == [corrected, later]
        assert kept_tests(connection, ctx.rider_id) == [corrected, other, later]
