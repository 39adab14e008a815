"""The rules of a season, written a second time and independently of the planner, for the tests."""

from collections.abc import Sequence

from rideready.model.season import Phase, Season, Week

STEP_SHARE, STEP_MIN = 0.10, 15
#: The most a plan may start from without any record: three pieces of 30 min.
MOST_START_MIN = 90


def done_by_week(season: Season) -> list[float]:
    """Minutes of the eight weeks before the plan, oldest first, as recorded or told."""
    request, first = season.request, season.weeks[0].start
    by_start = {week.start: week.moderate_equivalent_min for week in request.history if week.start < first}
    recorded = min(by_start, default=first)
    minutes = []
    for back in range(8, 0, -1):
        monday = first.fromordinal(first.toordinal() - 7 * back)
        minutes.append(by_start.get(monday, 0.0) if monday >= recorded else (request.usual_min or 0.0))
    return minutes


def broken_ramp(season: Season) -> list[str]:
    """Name the weeks that ask for more than a tenth, or 15 min, above the fullest of the last four.

    What was really done counts before the plan, and the plan's own weeks after its first.
    """
    lived, broken = done_by_week(season), []
    for week in season.weeks:
        asked = week.targets.moderate_equivalent_min
        fullest = max(lived[-4:])
        allowed = max(fullest * (1 + STEP_SHARE), fullest + STEP_MIN, MOST_START_MIN)
        if max(asked, week.limit_min) > allowed + 1e-6:
            broken.append(f"{week.start} asks for {asked}, at most {week.limit_min}, after {lived[-4:]}")
        lived.append(asked)
    return broken


def broken_taper(season: Season) -> list[str]:
    """Name the taper weeks that do not lie 41 to 60 % below the weeks before the taper.

    Two readings, both held: against what the plan calls usual, and, where the plan has full weeks right
    before the taper, against the last of them.
    """
    broken = []
    before: list[Week] = [
        w for w in season.weeks if w.phase in {Phase.BUILD, Phase.BURSTS} and not w.is_easier
    ]
    for week in (week for week in season.weeks if week.phase is Phase.TAPER):
        asked = week.targets.moderate_equivalent_min
        if week.reasons[0].code != "season.week_taper" or _is_held(week):
            continue  # an illness, days away or weeks lost leave less than the taper would
        usual = [float(dict(week.reasons[0].values)["usual"])]
        if before and (season.taper_start - before[-1].start).days == 7 and not _is_held(before[-1]):
            usual.append(before[-1].targets.moderate_equivalent_min)
        broken += [
            f"{week.start} asks for {asked} after {reference}"
            for reference in usual
            if not 0.41 * reference - 0.5 <= reference - asked <= 0.60 * reference + 0.5
        ]
    return broken


def _is_held(week: Week) -> bool:
    held = {"season.week_ill", "season.week_away", "season.week_injury", "season.week_ask_first"}
    return any(reason.code in held for reason in week.reasons)


def longest_run_without_easier(weeks: Sequence[Week]) -> int:
    """Count the longest run of weeks before the taper without an easier one."""
    longest = run = 0
    for week in weeks:
        if week.phase in {Phase.TAPER, Phase.OPENING}:
            break
        run = 0 if week.is_easier else run + 1
        longest = max(longest, run)
    return longest
