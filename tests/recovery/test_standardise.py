"""Which recoveries are compared, from which start, and what else is allowed for."""

from typing import Any

import numpy as np
import pandas as pd
import pytest

from rideready.model.rider import Rider
from rideready.recovery.standardise import Comparable, standardise
from tests.support.recovery_tables import RIDER, Autumn, autumn_table


def table(**columns: Any) -> pd.DataFrame:
    """Draw 12 sessions with four recoveries each and replace some columns."""
    return autumn_table(np.random.default_rng(1), Autumn(weeks=4)).assign(**columns)


def terms(found: Comparable) -> dict[str, tuple[float, float]]:
    """Prior mean and standard deviation of each term, bpm."""
    return {term.name: (term.prior_mean_bpm, term.prior_sd_bpm) for term in found.terms}


def test_recoveries_without_a_figure_to_trust_are_left_out_and_counted() -> None:
    recoveries = table()
    recoveries.loc[0, "grade"] = "none"
    recoveries.loc[1, "hrr60_bpm"] = np.nan
    recoveries.loc[2, "hrr60_se_bpm"] = np.nan
    recoveries.loc[4, "grade"] = "rough"
    found = standardise(recoveries, RIDER)
    assert found.n_left_out == 3
    assert found.hrr60_bpm.size == 45
    assert found.session_ids.size == 12


def test_sessions_are_put_in_order_of_time_whatever_the_order_of_the_rows() -> None:
    recoveries = table()
    shuffled = recoveries.sample(frac=1, random_state=3)
    found, expected = standardise(shuffled, RIDER), standardise(recoveries, RIDER)
    np.testing.assert_array_equal(found.hrr60_bpm, expected.hrr60_bpm)
    np.testing.assert_array_equal(found.session, np.repeat(np.arange(12), 4))
    assert found.day[0] == 0
    assert found.day[-1] == pytest.approx(25)  # Monday of the first week to Friday of the fourth


def test_the_standard_start_is_the_median_reserve_to_the_nearest_twentieth() -> None:
    reserve = np.tile([0.60, 0.76, 0.77, 0.95], 12)
    found = standardise(table(peak_bpm=52 + 134 * reserve, peak_reserve=reserve), RIDER)
    assert found.standard_reserve == 0.75
    assert found.standard_bpm == pytest.approx(52 + 0.75 * 134)
    # Steps of 10 bpm from there: (0.60 - 0.75) * 134 / 10 for the lowest.
    assert found.terms[0].column[0] == pytest.approx(-2.01)


def test_without_a_known_reserve_the_standard_start_is_a_heart_rate() -> None:
    recoveries = table()
    found = standardise(recoveries, Rider())
    assert found.standard_reserve is None
    assert found.standard_bpm == pytest.approx(recoveries["peak_bpm"].median(), abs=2.5)
    assert found.standard_bpm is not None
    assert found.standard_bpm % 5 == 0


def test_only_what_differs_between_recoveries_is_allowed_for() -> None:
    assert set(terms(standardise(table(), RIDER))) == {
        "starting heart rate",
        "starting heart rate, squared",
        "order in the session",
    }


def test_posture_and_movement_come_with_what_is_published_about_them() -> None:
    # Barak et al. 2011, J Sports Sci Med 10:369-375: mean of both groups, HRR60 by their formula, seated 35.0,
    # pedalling 28.0, supine 50.2, legs up 52.1.
    posture, mode = (
        ["seated", "seated", "lying", "lying, legs up"] * 12,
        ["still", "still", "still", "moving"] * 12,
    )
    found = terms(standardise(table(posture=posture, mode=mode), RIDER))
    assert found["posture: lying"] == pytest.approx((50.2 - 35.0, 5))
    assert found["posture: lying, legs up"] == pytest.approx((52.1 - 35.0, 5))
    assert found["movement: moving"] == pytest.approx((28.0 - 35.0, 5))


def test_the_usual_way_is_the_standard_even_if_it_is_moving_on() -> None:
    found = terms(standardise(table(mode=["moving", "moving", "moving", "still"] * 12), RIDER))
    assert found["movement: still"] == (7.0, 5.0)
    assert "movement: moving" not in found


def test_cool_days_count_as_no_heat_and_unknown_ones_as_usual() -> None:
    temperature = np.tile([np.nan, 5.0, 22.0, 32.0], 12)
    found = next(t for t in standardise(table(temperature_c=temperature), RIDER).terms if t.name == "heat")
    np.testing.assert_allclose(found.column[:4], [0, 0, 0, 1])


def test_altitude_counts_from_where_the_rider_usually_is() -> None:
    altitude = np.tile([1500.0, 1500.0, np.nan, 2500.0], 12)
    found = next(t for t in standardise(table(altitude_m=altitude), RIDER).terms if t.name == "altitude")
    np.testing.assert_allclose(found.column[:4], [0, 0, 0, 1])
    # Al Haddad et al. 2012, Front Physiol 3:289: 60 to 52 bpm at about 2400 m.
    assert found.prior_mean_bpm * 2.4 == pytest.approx(52 - 60, abs=0.1)


def test_another_recorder_is_a_term_of_its_own_and_a_missing_name_is_one_too() -> None:
    device = ["strap", "strap", "strap", None] * 12
    found = standardise(table(device=device), RIDER).terms[-1]
    assert found.name == "recorder: unnamed recorder"
    assert found.is_recorder


def test_an_empty_table_compares_nothing() -> None:
    found = standardise(table().iloc[:0], RIDER)
    assert found.day.size == 0
    assert found.standard_bpm is None
    assert found.weeks == 0


def test_a_missing_column_is_named() -> None:
    with pytest.raises(ValueError, match="lacks hrr60_se_bpm"):
        standardise(table().drop(columns="hrr60_se_bpm"), RIDER)
