"""The targets of each week up to opening day, one after the other."""

import datetime as dt
from dataclasses import replace

from rideready.model.condition import Clearance
from rideready.model.reason import Reason, because
from rideready.model.season import Phase, SeasonRequest, Targets, Week
from rideready.plan.calendar_weeks import weeks_between
from rideready.plan.capacity import Capacity, capacity_of
from rideready.plan.conditions import Step, allowance_on, injuries_in_week, is_away
from rideready.plan.history import expected_of, run_of_weeks, series_of
from rideready.plan.phases import LONGEST_RUN, Row, burst_start, calendar, easier_weeks
from rideready.plan.ramp import EASIER_SHARE, START_MIN, START_VIGOROUS_MIN
from rideready.plan.shapes import FreeDays, fewer_for, made_easier, wished_shape
from rideready.plan.sizes import LEAST_LONG_MIN, Bounds, Shape, hard_minutes, share_out
from rideready.plan.taper import LEFT_BY_WEEK, taper_start
from rideready.plan.week_minutes import Setting, about_sessions, floor_to_5, minutes_of

# The long piece grows by ten minutes at most over the longest of the last four weeks, or over what their minutes
# come to on each of the rider's days. Ours.
_LONG_STEP_MIN = 10
# An easier week has one hard session less, and so about two thirds of the vigorous minutes. Ours.
_EASIER_VIGOROUS_SHARE = 2 / 3
# In a week with an illness in it, about half of the usual share of vigorous minutes, and a long piece of half an
# hour, at most. Ours.
_AFTER_ILLNESS_SHARE = 0.12
# Bursts in a practice: six at first, two more for each week with a practice among the last four. Ours.
_FIRST_BURSTS, _BURST_STEP, _MOST_BURSTS = 6, 2, 12
_SHORT_ENOUGH_MIN = 10
_BEFORE_TAPER = frozenset({Phase.BUILD, Phase.BURSTS})


class Planner:
    """Plans week after week; what a week asks for is what the next one's ramp starts from.

    Parameters
    ----------
    request
        What is planned from.
    """

    def __init__(self, request: SeasonRequest) -> None:
        self.request = request
        self.began = min(request.began or request.today, request.today)
        self.rows = calendar(request.window, request.today, self.began)
        self.series = series_of(request)
        self.taper_start = taper_start(request.window.likely)
        self.capacities: dict[tuple[Phase, Shape], Capacity] = {}
        self.last_full_min: int | None = None
        self.free = [self._free_days(row) for row in self.rows]
        before_taper = [index for index, row in enumerate(self.rows) if row.phase in _BEFORE_TAPER]
        broken = [index for index in before_taper if self.free[index].is_broken]
        run = run_of_weeks(request, self.series, at_most=LONGEST_RUN)
        self.easier = easier_weeks(len(before_taper), run, forced=broken)

    def weeks(self) -> tuple[Week, ...]:
        """Plan every week."""
        planned = []
        for index, row in enumerate(self.rows):
            week = self._week(self._setting(index, row))
            planned.append(week)
            if not week.is_easier and row.phase in _BEFORE_TAPER and self.free[index].is_whole:
                self.last_full_min = week.targets.moderate_equivalent_min
            done = self.request.this_week if index == 0 else None
            self.series.add(*expected_of(week.targets, row.start, done, self.request.today))
        return tuple(planned)

    def most_minutes(self) -> int:
        """Say how many moderate-equivalent minutes the ordinary week holds at most."""
        return max((capacity.total_min for capacity in self.capacities.values()), default=0)

    def _setting(self, index: int, row: Row) -> Setting:
        """Gather what one week is planned from."""
        request = self.request
        is_tapering = row.phase not in _BEFORE_TAPER
        ramp = self.series.ramp(START_MIN[request.level], before=self.taper_start if is_tapering else None)
        injuries = injuries_in_week(request.injuries, row.start, request.today)
        wished = wished_shape(
            row.phase,
            request.level,
            ramp,
            burst_week=max(weeks_between(burst_start(request.window, self.began), row.start), 0),
            burst_weeks_lately=self.series.burst_weeks_lately(),
            injuries=injuries,
            is_cleared=request.clearance is Clearance.CLEAR,
        )
        capacity = self._capacity(row.phase, wished)
        return Setting(
            request,
            row,
            index in self.easier,
            ramp,
            self.last_full_min,
            self.free[index],
            injuries,
            wished,
            capacity,
        )

    def _week(self, setting: Setting) -> Week:
        """Plan one week: minutes, then the sessions that share them."""
        total, reasons = minutes_of(setting)
        targets, full = self._fitted(setting, total)
        is_held = setting.is_tapering or setting.is_easier or total < setting.ramp.base_min - 5
        total = targets.moderate_equivalent_min
        limit = float(total) if is_held else max(float(total), setting.ramp.limit_min)
        return Week(
            setting.row.start,
            setting.row.last_day,
            setting.row.phase,
            setting.is_easier,
            targets,
            round(setting.ramp.base_min, 1),
            round(limit, 1),
            self.request.window.likely if setting.row.ends_with_eve else None,
            (*(full or reasons[:1]), *reasons[1:], *about_sessions(setting)),
        )

    def _fitted(self, setting: Setting, total: int) -> tuple[Targets, tuple[Reason, ...]]:
        """Share the minutes out among sessions that the ordinary week holds; fewer minutes if it does not."""
        shape = setting.capacity.shape
        shape = fewer_for(made_easier(shape) if setting.is_easier else shape, setting.free)
        bounds = self._bounds(setting, total)
        targets = share_out(total, shape, bounds)
        if setting.is_tapering:
            return targets, ()
        wished = total
        while total > 0 and (short := self._shortfall(targets, setting.capacity)) >= _SHORT_ENOUGH_MIN:
            total = floor_to_5(total - short)
            targets = share_out(total, shape, bounds)
        if total == wished:
            return targets, ()
        if setting.is_easier and setting.last_full_min is None:
            targets = share_out(floor_to_5(EASIER_SHARE * total + 2.5), shape, bounds)
        return targets, (because("season.week_days_full", minutes=targets.moderate_equivalent_min),)

    @staticmethod
    def _shortfall(targets: Targets, capacity: Capacity) -> int:
        """Say how many of the steady minutes do not surely fit beside the hard sessions."""
        steady = targets.moderate_equivalent_min - hard_minutes(targets)
        hard = targets.circuits + targets.burst_practices
        return steady - capacity.steady_min(targets.long_piece_min, hard_sessions=hard)

    def _free_days(self, row: Row) -> FreeDays:
        """Count the days of a week by what they allow."""
        days = [row.start + dt.timedelta(days=n) for n in range(max((row.last_day - row.start).days + 1, 0))]
        request = self.request
        here = [day for day in days if not is_away(day, request.away)]
        steps = [allowance_on(day, request.illnesses, request.today).step for day in here]
        return FreeDays(
            len(days),
            sum(step is Step.FREE for step in steps),
            sum(step not in {Step.FREE, Step.ILL} for step in steps),
            len(days) - len(here),
            ends_with_eve=row.ends_with_eve,
        )

    def _capacity(self, phase: Phase, shape: Shape) -> Capacity:
        """Work out, once for each shape, what the ordinary week holds."""
        order = Phase.BUILD if phase is Phase.BUILD else Phase.BURSTS
        # A week with one circuit is read off the one with two, which is wanted sooner or later.
        asked = 2 if shape.circuits and not shape.burst_practices else shape.circuits
        key = order, replace(shape, circuits=asked, strength_min=40 if shape.strength else 0)
        if key not in self.capacities:
            self.capacities[key] = capacity_of(self.request.minutes_by_weekday, *key)
        found = self.capacities[key]
        held = replace(
            found.shape,
            circuits=min(shape.circuits, found.shape.circuits),
            strength_min=min(shape.strength_min, found.shape.strength_min),
        )
        return replace(found, shape=held)

    def _bounds(self, setting: Setting, total: int) -> Bounds:
        """Bound what the week's sessions must not outgrow."""
        row, capacity = setting.row, setting.capacity
        start = START_VIGOROUS_MIN[self.request.level]
        held = capacity.shape
        places = max(held.circuits + held.burst_practices + len(capacity.steady_rooms_min), 1)
        longest = self.series.longest_lately()
        bursts = _FIRST_BURSTS + _BURST_STEP * self.series.burst_weeks_lately()
        if setting.is_tapering:
            left = LEFT_BY_WEEK[-1 if row.taper_week is None else row.taper_week]
            vigorous = left * max(self.series.vigorous_before(self.taper_start), start)
            longest, bursts = left * longest, _FIRST_BURSTS
        elif setting.is_easier:
            vigorous = _EASIER_VIGOROUS_SHARE * max(self.series.vigorous_before(row.start), start)
            longest = EASIER_SHARE * longest
        else:
            vigorous = self.series.vigorous_limit(start)
            longest = max(longest, setting.ramp.base_min / places) + _LONG_STEP_MIN
        if setting.free.has_illness:
            vigorous, longest = min(vigorous, _AFTER_ILLNESS_SHARE * total), LEAST_LONG_MIN
        return Bounds(
            vigorous,
            capacity.circuit_session_min,
            capacity.burst_session_min,
            int(min(max(longest, LEAST_LONG_MIN), capacity.long_min, total)),
            min(bursts, _MOST_BURSTS),
            places,
        )
