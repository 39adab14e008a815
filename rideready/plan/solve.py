"""The week as an exact 0/1 programme: which session on which day."""

import numpy as np
import numpy.typing as npt

from rideready.model.session import FloatArray
from rideready.model.week import MuscleGroup, PlannedSession, SessionKind
from rideready.plan.programme import (
    MAIN_KINDS,
    MINUTE_WORTH,
    MOST_ACTIVE_DAYS,
    STACKED_COST,
    DayRoom,
    Offer,
    Placement,
    Programme,
    Rule,
    place_worth,
)


def solve(programme: Programme, *, without: frozenset[Rule] = frozenset()) -> Placement:
    """Find the best placement of a week's sessions.

    Maximises the worth of the sessions placed, of the minutes credited and of the days chosen, under: each
    day's minutes; at most one main, one strength and one mobility session a day; no two hard days in a row;
    48 h, taken as a whole day between, for each muscle group; a day of rest; blocked days; and the week's
    limit. Placing nothing is always allowed, so there is always a solution. The same programme gives the
    same one.

    Parameters
    ----------
    programme
        The week.
    without
        Rules to lift, to find out which of them keeps a session out.

    Returns
    -------
    Placement
        An optimal one.

    References
    ----------
    Branch and bound by HiGHS through `scipy.optimize.milp`, with no gap allowed.
    """
    matrix = _Matrix(programme, without)
    if not matrix.choices:
        return Placement(tuple(() for _ in programme.days), 0.0)
    matrix.write_rules()
    values = matrix.best(presolve=True)
    if not matrix.holds(values):
        values = matrix.best(presolve=False)
    if not matrix.holds(values):  # placing nothing holds, so this is the solver's failure, not the week's
        raise RuntimeError("the week's programme was not solved")
    placed = [choice for choice, value in zip(matrix.choices, values, strict=False) if value]
    return Placement(_by_day(programme, placed), float(matrix.objective() @ values))


def _by_day(programme: Programme, placed: list[tuple[int, Offer]]) -> tuple[tuple[PlannedSession, ...], ...]:
    """Sort the chosen sessions into days, hardest kind first."""
    order = list(SessionKind)
    return tuple(
        tuple(sorted((offer.session for d, offer in placed if d == day), key=lambda s: order.index(s.kind)))
        for day in range(len(programme.days))
    )


class _Matrix:
    """The programme written as rows ``row @ x <= high``.

    Variables, in order: one for each offer on each day that allows it; one for each wanted session, to
    value the first above the second; one for each day that is active; one for each day that holds two
    sessions; the credited minutes.
    """

    def __init__(self, programme: Programme, without: frozenset[Rule]) -> None:
        self.programme, self.without = programme, without
        self.choices = [
            (d, offer)
            for d, room in enumerate(programme.days)
            for offer in programme.offers
            if Rule.BLOCKED in without or _may_stand(room, offer)
        ]
        self.worths = [(k, worth) for k, each in programme.wanted.worths.items() for worth in each]
        n, days = len(self.choices), len(programme.days)
        self.first_worth, self.first_active = n, n + len(self.worths)
        self.first_stacked = self.first_active + days
        self.width = self.first_stacked + days + 1
        self.rows: list[FloatArray] = []
        self.highs: list[float] = []
        self.day = np.array([d for d, _ in self.choices])
        self.kind = np.array([offer.kind for _, offer in self.choices])
        self.credit = np.array([offer.session.moderate_equivalent_min for _, offer in self.choices])
        self.length = np.array([offer.session.minutes for _, offer in self.choices])

    def objective(self) -> FloatArray:
        """Worth of each variable."""
        worth = np.zeros(self.width)
        worth[: self.first_worth] = [place_worth(self.programme, d, offer) for d, offer in self.choices]
        worth[self.first_worth : self.first_active] = [each for _, each in self.worths]
        worth[self.first_stacked : -1] = -STACKED_COST
        worth[-1] = MINUTE_WORTH
        return worth

    def write_rules(self) -> None:
        """Write every rule that is not lifted."""
        self._count_kinds()
        for d, room in enumerate(self.programme.days):
            self._one_day(d, room)
        self._day_of_rest()
        days = self.programme.days
        if Rule.HARD_DAYS not in self.without:
            hard = np.array([offer.session.is_hard for _, offer in self.choices])
            self._days_apart(hard, self.programme.is_hard_before, [room.is_hard for room in days])
        if Rule.REST_48_H not in self.without:
            for group in MuscleGroup:
                trains = np.array([group in offer.session.groups for _, offer in self.choices])
                before = group in self.programme.groups_before
                self._days_apart(trains, before, [group in room.groups for room in days])
        if Rule.RAMP not in self.without:
            self._at_most(self.credit, max(self.programme.wanted.most_min, 0))
        self._at_most(-self.credit, 0, {self.width - 1: 1})

    def best(self, *, presolve: bool) -> npt.NDArray[np.int64]:
        """Let the solver choose; whole numbers, which the caller checks.

        HiGHS has called solutions optimal that break a row (scipy issues 22812 and 24141). All variables are
        whole numbers, the minutes too: with others HiGHS 1.12 prints to the screen now and then.
        """
        from scipy.optimize import Bounds, LinearConstraint, milp

        upper = np.ones(self.width)
        upper[-1] = max(self.programme.wanted.aim_min, 0)
        found = milp(
            -self.objective(),
            constraints=LinearConstraint(np.array(self.rows), ub=np.array(self.highs)),
            bounds=Bounds(np.zeros(self.width), upper),
            integrality=np.ones(self.width, dtype=np.int64),
            options={"mip_rel_gap": 0.0, "presolve": presolve},
        )
        x = np.zeros(self.width) if found.x is None else found.x
        return np.rint(x).astype(np.int64) if found.success else np.full(self.width, -1)

    def holds(self, values: npt.NDArray[np.int64]) -> bool:
        """Whether every row holds, to the last unit."""
        return bool((values >= 0).all() and (np.array(self.rows) @ values <= np.array(self.highs)).all())

    def _at_most(self, of_choices: FloatArray, high: float, others: dict[int, float] | None = None) -> None:
        """Add one row: a value for each choice, and for a few other variables."""
        row = np.zeros(self.width)
        row[: self.first_worth] = of_choices
        for index, value in (others or {}).items():
            row[index] = value
        self.rows.append(row)
        self.highs.append(high)

    def _count_kinds(self) -> None:
        """As many wanted places are taken as sessions of the kind stand; worths fall, so the first go first."""
        for kind in self.programme.wanted.worths:
            places = {self.first_worth + i: -1.0 for i, (k, _) in enumerate(self.worths) if k is kind}
            self._at_most((self.kind == kind).astype(float), 0, places)
            self._at_most(-(self.kind == kind).astype(float), 0, dict.fromkeys(places, 1.0))

    def _one_day(self, d: int, room: DayRoom) -> None:
        """Minutes, one session of a sort, and what a second session costs."""
        here = self.day == d
        if Rule.MINUTES not in self.without:
            self._at_most(here * self.length, room.minutes)
        main = here & np.isin(self.kind, MAIN_KINDS)
        strength = here & (self.kind == SessionKind.STRENGTH)
        mobility = here & (self.kind == SessionKind.MOBILITY)
        if Rule.ONE_A_DAY not in self.without:
            for sort, was_done in (
                (main, room.has_main),
                (strength, room.has_strength),
                (mobility, room.has_mobility),
            ):
                self._at_most(sort.astype(float), 0 if was_done else 1)
        active = self.first_active + d
        for sort in (main, strength):
            self._at_most(sort.astype(float), 0, {active: -1.0})
        already = int(room.has_main) + int(room.has_strength)
        self._at_most((main | strength).astype(float), max(1 - already, 0), {self.first_stacked + d: -1.0})

    def _day_of_rest(self) -> None:
        """Leave one day in seven without a main or a strength session."""
        if Rule.REST_DAY in self.without:
            return
        new = {self.first_active + d: 1.0 for d, room in enumerate(self.programme.days) if not room.is_active}
        already = sum(room.is_active for room in self.programme.days)
        left = MOST_ACTIVE_DAYS - self.programme.active_days_before - already
        self._at_most(np.zeros(self.first_worth), max(left, 0), new)

    def _days_apart(self, marked: FloatArray, before: bool, done: list[bool]) -> None:  # noqa: FBT001 - a state, no switch
        """At most one marked session on any two days in a row, with what was done before and today."""
        last = len(done) - 1
        pairs = [(d, d + 1) for d in range(last)] + [(last, last)]
        if self.programme.is_cyclic and last > 0:
            pairs.append((last, 0))
        for d, after in pairs:
            both = marked & ((self.day == d) | (self.day == after))
            self._at_most(both.astype(float), 0 if done[d] or done[after] else 1)
        if before:
            self._at_most((marked & (self.day == 0)).astype(float), 0)


def _may_stand(room: DayRoom, offer: Offer) -> bool:
    """Whether a day allows an offer by itself."""
    return offer.kind not in room.blocked and room.spared.isdisjoint(offer.session.groups)
