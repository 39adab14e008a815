"""The altitude band against its sources.

Wehrlin, Hallen 2006, Eur J Appl Physiol 96:404-12: -6.3 % for each 1000 m from 300 to 2800 m, straight (from memory).
Lundby et al. 2001, High Alt Med Biol 2:369-76 (abstract): maximum heart rate 191 at sea level, 189 at 3300 m, 182 at
4300 m, 175 at 5300 m; one beat for each 130 m above 3100 m. Mourot, Millet 2019, High Alt Med Biol 20:94-98
(abstract): at 4000 m -12.7 and -8.6 bpm in trained, -9.9 and -8.3 bpm in untrained people.
"""

import pytest

from rideready.errors import BadInput
from rideready.model.rider import Rider
from rideready.plan.altitude import altitude_band

RIDER = Rider(max_hr_bpm=186, resting_hr_bpm=52)


@pytest.mark.parametrize(
    ("altitude_m", "vo2max"),
    # From 66 mL/kg/min at 300 m by the source's line.
    [(800, 63.92), (1300, 61.84), (1800, 59.76), (2300, 57.68), (2800, 55.61)],
)
def test_oxygen_uptake_follows_the_published_line(altitude_m: float, vo2max: float) -> None:
    left = 1 - altitude_band(altitude_m, home_altitude_m=300).vo2max_loss
    assert 66 * left == pytest.approx(vo2max, abs=0.01)


@pytest.mark.parametrize(("altitude_m", "fall_bpm"), [(3300, 191 - 189), (4300, 191 - 182)])
def test_the_band_of_the_maximum_heart_rate_holds_lundbys_measurements(
    altitude_m: float, fall_bpm: float
) -> None:
    band = altitude_band(altitude_m)
    assert band.max_hr_fall_low_bpm <= fall_bpm <= band.max_hr_fall_high_bpm


@pytest.mark.parametrize("fall_bpm", [12.7, 8.6, 9.9, 8.3])
def test_the_band_holds_mourot_and_millets_four_groups(fall_bpm: float) -> None:
    band = altitude_band(4000)
    assert band.max_hr_fall_low_bpm <= fall_bpm + 1e-9
    assert band.max_hr_fall_high_bpm >= fall_bpm - 1e-9


def test_the_middle_at_4000_m_is_the_mean_of_the_four_groups() -> None:
    assert altitude_band(4000).max_hr_fall_bpm == pytest.approx((12.7 + 8.6 + 9.9 + 8.3) / 4, abs=0.05)


@pytest.mark.parametrize("altitude_m", range(0, 5001, 250))
def test_the_middle_lies_inside_its_band(altitude_m: float) -> None:
    band = altitude_band(altitude_m)
    assert 0 <= band.vo2max_loss_low <= band.vo2max_loss <= band.vo2max_loss_high
    assert 0 <= band.max_hr_fall_low_bpm <= band.max_hr_fall_bpm <= band.max_hr_fall_high_bpm


@pytest.mark.parametrize(("riding_m", "home_m"), [(200, 0), (1500, 1500), (800, 2000)])
def test_nothing_is_lost_where_the_air_is_not_thinner_than_at_home(riding_m: float, home_m: float) -> None:
    band = altitude_band(riding_m, home_altitude_m=home_m)
    assert band.vo2max_loss == 0
    assert band.same_work_reserve == 0.5


def test_the_same_work_takes_more_of_what_is_left() -> None:
    band = altitude_band(2300, home_altitude_m=300)
    # By hand: 12.6 % are lost, so half of the uptake at home is 0.5 / 0.874 of that on the mountain.
    assert band.same_work_reserve == pytest.approx(0.572, abs=0.001)


def test_pulse_numbers_fall_with_the_maximum_and_never_rise() -> None:
    pulses = altitude_band(3000, home_altitude_m=200, rider=RIDER).pulses
    assert [p.reserve for p in pulses] == [0.3, 0.4, 0.6, 0.9]
    vigorous = pulses[2]
    # By hand: 52 + 0.6 * (186 - 52) = 132.4; with a maximum lower by 2.8 * 3.175 = 8.9 bpm, 127.1.
    assert vigorous.home_bpm == pytest.approx(132.4)
    assert vigorous.low_bpm == pytest.approx(127.1, abs=0.05)
    assert all(p.low_bpm <= p.high_bpm <= p.home_bpm for p in pulses)


@pytest.mark.parametrize(
    "rider",
    [
        Rider(),
        Rider(max_hr_bpm=186),
        Rider(max_hr_bpm=186, resting_hr_bpm=52, takes_heart_rate_medicine=True),
    ],
)
def test_a_rider_whose_pulse_is_unknown_or_no_guide_gets_no_numbers_and_is_told(rider: Rider) -> None:
    band = altitude_band(2400, rider=rider)
    assert band.pulses == ()
    assert "season.altitude_no_numbers" in [reason.code for reason in band.reasons]


@pytest.mark.parametrize(("altitude_m", "is_warned"), [(2499, False), (2500, True), (3400, True)])
def test_from_2500_m_on_mountain_sickness_and_where_to_read_about_it_are_named(
    altitude_m: float,
    is_warned: bool,  # noqa: FBT001 - an expected value
) -> None:
    said = " ".join(reason.sentence for reason in altitude_band(altitude_m).reasons)
    assert ("CDC" in said and "Wilderness Medical Society" in said) is is_warned


def test_above_the_study_the_line_is_said_to_be_prolonged() -> None:
    assert "season.altitude_beyond" in [r.code for r in altitude_band(2801).reasons]
    assert "season.altitude_beyond" not in [r.code for r in altitude_band(2800).reasons]


@pytest.mark.parametrize("altitude_m", [-1000, 5001, float("nan")])
def test_altitudes_without_figures_are_refused(altitude_m: float) -> None:
    with pytest.raises(BadInput, match="for which there are figures"):
        altitude_band(altitude_m)
