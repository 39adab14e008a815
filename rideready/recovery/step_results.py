"""From the figure of a step test to its result: the published band, its error, and what to beware of."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from rideready.model.fieldtest import (
    BandReading,
    Counting,
    FieldTest,
    FieldTestResult,
    Figure,
    Measure,
    PulseCount,
)
from rideready.model.reason import Reason, because
from rideready.model.rider import Rider
from rideready.recovery.norms import read_harvard, read_ymca, ymca_column
from rideready.recovery.step_formulas import UPTAKE_ERROR, UPTAKE_LINES, queens_college_uptake


@dataclass(frozen=True, slots=True)
class Taken:
    """How a test was taken: everything about a result but its figures.

    Parameters
    ----------
    counting
        By hand or from a recording.
    stop_s
        Where the stepping stopped, s from the start of the session; None by hand.
    was_by_protocol
        Whether nothing showed that differs from the protocol.
    reasons
        What limits the figures.
    """

    counting: Counting = Counting.BY_HAND
    stop_s: float | None = None
    was_by_protocol: bool = True
    reasons: tuple[Reason, ...] = field(default=())


def harvard_result(
    index: Figure, counts: tuple[PulseCount, ...], rider: Rider, taken: Taken
) -> FieldTestResult:
    """Put an index beside the published bands.

    Parameters
    ----------
    index, counts
        The figure and what it rests on.
    rider
        Bands are left out for a rider on a medicine that alters the pulse.
    taken
        How the test was taken.
    """
    if rider.takes_heart_rate_medicine:
        return _result(FieldTest.HARVARD, (index,), counts, taken, [because("fieldtest.medicine")])
    bands = read_harvard(index.value, low=index.low, high=index.high)
    chosen, other = bands
    notes = [
        because("fieldtest.two_tables", chosen=chosen.source, other=other.source, other_label=other.label),
        *_could_be(chosen),
        because("fieldtest.one_kind_of_people"),
    ]
    return _result(FieldTest.HARVARD, (index,), counts, taken, notes, bands=bands)


def ymca_result(count: Figure, counts: tuple[PulseCount, ...], rider: Rider, taken: Taken) -> FieldTestResult:
    """Put a minute's count beside the norms of the rider's age and sex.

    Parameters
    ----------
    count, counts
        The figure and what it rests on.
    rider, taken
        As for `harvard_result`.
    """
    missing = [name for name, value in (("age", rider.age_years), ("sex", rider.sex)) if value is None]
    if rider.takes_heart_rate_medicine:
        return _result(FieldTest.YMCA, (count,), counts, taken, [because("fieldtest.medicine")])
    if rider.age_years is None or rider.sex is None:
        note = because("fieldtest.no_norm_without", missing=" and ".join(missing))
        return _result(FieldTest.YMCA, (count,), counts, taken, [note])
    column = ymca_column(rider.age_years, rider.sex)
    if column is None:
        return _result(FieldTest.YMCA, (count,), counts, taken, [because("fieldtest.no_norm_age")])
    band = read_ymca(count.value, column, low=count.low, high=count.high)
    return _result(FieldTest.YMCA, (count,), counts, taken, [*band.notes, *_could_be(band)], bands=(band,))


def queens_college_result(
    pulse: Figure, counts: tuple[PulseCount, ...], rider: Rider, taken: Taken
) -> FieldTestResult:
    """Turn the pulse after the test into oxygen uptake.

    The pulse stays the main figure: it is what was measured, and what compares best with itself.

    Parameters
    ----------
    pulse, counts
        The figure and what it rests on.
    rider, taken
        As for `harvard_result`.
    """
    test = FieldTest.QUEENS_COLLEGE
    if rider.takes_heart_rate_medicine:
        return _result(test, (pulse,), counts, taken, [because("fieldtest.medicine")])
    if rider.sex is None:
        return _result(test, (pulse,), counts, taken, [because("fieldtest.uptake_without_sex")])
    value = queens_college_uptake(pulse.value, rider.sex)
    from_pulse = 0.0
    if pulse.low is not None and pulse.high is not None:
        from_pulse = UPTAKE_LINES[rider.sex][1] * (pulse.high - pulse.low) / 2
    half = float((UPTAKE_ERROR * value) ** 2 + from_pulse**2) ** 0.5
    uptake = Figure(Measure.OXYGEN_UPTAKE, value, value - half, value + half)
    note = because("fieldtest.uptake_error", percent=100 * UPTAKE_ERROR)
    return _result(test, (pulse, uptake), counts, taken, [note])


def _could_be(band: BandReading) -> list[Reason]:
    others = [label for label in band.could_be if label != band.label]
    return [because("fieldtest.could_be", others=" or ".join(others))] if others else []


def _result(
    test: FieldTest,
    figures: tuple[Figure, ...],
    counts: tuple[PulseCount, ...],
    taken: Taken,
    notes: Sequence[Reason],
    *,
    bands: tuple[BandReading, ...] = (),
) -> FieldTestResult:
    return FieldTestResult(
        test=test,
        counting=taken.counting,
        figures=figures,
        bands=bands,
        counts=counts,
        stop_s=taken.stop_s,
        was_by_protocol=taken.was_by_protocol,
        reasons=(*taken.reasons, *notes),
    )
