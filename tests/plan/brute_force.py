"""The best placement of a small week by trying every one; slow, plain, and written apart from the programme."""

import itertools
from collections.abc import Iterator, Sequence

from rideready.model.week import MuscleGroup, SessionKind
from rideready.plan.programme import (
    MINUTE_WORTH,
    MOST_ACTIVE_DAYS,
    STACKED_COST,
    DayRoom,
    Offer,
    Programme,
    place_worth,
)

MAIN = {SessionKind.CIRCUIT, SessionKind.BURSTS, SessionKind.LONG, SessionKind.EASY}
DayChoice = tuple[Offer, ...]


def best_worth(programme: Programme) -> int:
    """Return the worth of the best placement that keeps every rule."""
    choices = [list(_choices(room, programme.offers)) for room in programme.days]
    return max(
        _worth(programme, week) for week in itertools.product(*choices) if _keeps_the_rules(programme, week)
    )


def _choices(room: DayRoom, offers: Sequence[Offer]) -> Iterator[DayChoice]:
    """Every set of sessions that a day holds by itself."""

    def of(kinds: set[SessionKind], is_taken: bool) -> list[Offer | None]:  # noqa: FBT001 - a state
        return [None] if is_taken else [None, *(o for o in offers if o.kind in kinds)]

    for combination in itertools.product(
        of(MAIN, room.has_main),
        of({SessionKind.STRENGTH}, room.has_strength),
        of({SessionKind.MOBILITY}, room.has_mobility),
    ):
        chosen = tuple(offer for offer in combination if offer is not None)
        groups = [group for offer in chosen for group in offer.session.groups]
        if (
            sum(offer.session.minutes for offer in chosen) <= room.minutes
            and all(offer.kind not in room.blocked for offer in chosen)
            and not room.spared & set(groups)
            and not room.groups & set(groups)
            and len(groups) == len(set(groups))
            and not (room.is_hard and any(offer.session.is_hard for offer in chosen))
        ):
            yield chosen


def _keeps_the_rules(programme: Programme, week: Sequence[DayChoice]) -> bool:
    counts = {k: sum(o.kind is k for c in week for o in c) for k in programme.wanted.worths}
    return (
        all(counts[kind] <= len(worths) for kind, worths in programme.wanted.worths.items())
        and _minutes(week) <= max(programme.wanted.most_min, 0)
        and _hard_days_apart(programme, week)
        and all(_group_rests(programme, week, group) for group in MuscleGroup)
        and _leaves_a_day_of_rest(programme, week)
    )


def _hard_days_apart(programme: Programme, week: Sequence[DayChoice]) -> bool:
    new = [any(o.session.is_hard for o in c) for c in week]
    hard = [n or r.is_hard for n, r in zip(new, programme.days, strict=True)]
    return _apart(programme, new, hard, programme.is_hard_before)


def _apart(programme: Programme, new: list[bool], held: list[bool], before: bool) -> bool:  # noqa: FBT001 - a state
    if before and new[0]:
        return False
    if programme.is_cyclic and len(new) > 1 and held[0] and held[-1]:
        return False
    return not any(held[d] and held[d + 1] and (new[d] or new[d + 1]) for d in range(len(new) - 1))


def _leaves_a_day_of_rest(programme: Programme, week: Sequence[DayChoice]) -> bool:
    active = [
        r.is_active or any(o.kind is not SessionKind.MOBILITY for o in c)
        for r, c in zip(programme.days, week, strict=True)
    ]
    newly = any(a and not r.is_active for a, r in zip(active, programme.days, strict=True))
    return not newly or sum(active) + programme.active_days_before <= MOST_ACTIVE_DAYS


def _group_rests(programme: Programme, week: Sequence[DayChoice], group: MuscleGroup) -> bool:
    new = [any(group in o.session.groups for o in c) for c in week]
    trained = [n or group in r.groups for n, r in zip(new, programme.days, strict=True)]
    return _apart(programme, new, trained, group in programme.groups_before)


def _minutes(week: Sequence[DayChoice]) -> int:
    return sum(o.session.moderate_equivalent_min for c in week for o in c)


def _worth(programme: Programme, week: Sequence[DayChoice]) -> int:
    worth = sum(place_worth(programme, d, offer) for d, choice in enumerate(week) for offer in choice)
    for kind, worths in programme.wanted.worths.items():
        worth += sum(worths[: sum(o.kind is kind for c in week for o in c)])
    for room, choice in zip(programme.days, week, strict=True):
        new = sum(o.kind is not SessionKind.MOBILITY for o in choice)
        if new and new + room.has_main + room.has_strength > 1:
            worth -= STACKED_COST * (
                new + room.has_main + room.has_strength - max(1, room.has_main + room.has_strength)
            )
    return worth + MINUTE_WORTH * min(_minutes(week), max(programme.wanted.aim_min, 0))
