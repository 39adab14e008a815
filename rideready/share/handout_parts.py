"""The sections of a handout, each a pure function from values to markup."""

from rideready.model.exercise import Sides
from rideready.model.rider import Rider
from rideready.model.season import Season, Week
from rideready.model.week import DayPlan
from rideready.plan.parts import parts_of
from rideready.share.fit_circuit import FittedCircuit
from rideready.share.fit_plan import FittedPlan, PlacedWeek
from rideready.share.markup import Markup, element, joined
from rideready.share.plan_picture import plan_picture
from rideready.share.words import (
    CAUTIONS,
    QUESTIONS,
    STOP,
    day_in_words,
    efforts_of,
    in_one_line,
    pulse_of,
    short_day,
    weekday_and_day,
)

#: The most weeks in the table, for the sake of the first sheet; the picture shows all of them.
MOST_WEEKS = 17


def figures(season: Season) -> Markup:
    """Say the plan in three numbers."""
    first = season.weeks[0].targets
    fullest = max(week.targets.moderate_equivalent_min for week in season.weeks)
    said = [
        (len(season.weeks), "weeks to go" if len(season.weeks) > 1 else "week to go"),
        (f"{first.moderate_equivalent_min} min", "this week"),
        (f"{fullest} min", "in the fullest"),
    ]
    items = (element("li", element("b", number), element("span", what)) for number, what in said)
    return element("ul", *items, class_="figures")


def questions() -> Markup:
    """Ask what has to be asked before the first session."""
    listed = "; ".join(QUESTIONS)
    return element(
        "p",
        element("b", "Before you start. "),
        f"See a doctor first if any of these is true of you: {listed}.",
        class_="stop",
    )


def picture(season: Season) -> Markup:
    """Show the weeks as bars, with the words to read them by."""
    return element(
        "figure",
        plan_picture(season),
        element(
            "figcaption",
            "Minutes a week: ",
            element("span", class_="key moderate"),
            "moderate, ",
            element("span", class_="key vigorous"),
            "vigorous, each minute of which counts as two (WHO 2020).",
        ),
    )


def weeks_table(season: Season) -> Markup:
    """List the weeks."""
    heads = [
        "Week of",
        "For",
        "Minutes",
        "Vigorous",
        "Circuits",
        "Strength",
        "Bursts",
        "Mobility",
        "Longest piece",
    ]
    head = element("tr", *(_cell("th", text, column) for column, text in enumerate(heads)))
    shown = season.weeks[:MOST_WEEKS]
    left = len(season.weeks) - len(shown)
    more = f"{left} more weeks follow; they are in the picture and in the plan file." if left else None
    return joined(
        element(
            "table",
            element("thead", head),
            element("tbody", *(_row(week, season) for week in shown)),
            class_="weeks",
        ),
        element("p", more, class_="quiet") if more else None,
    )


#: Columns of the weeks that a phone leaves out.
_WIDE = frozenset({3, 6, 7, 8})


def _cell(name: str, value: object, column: int) -> Markup:
    classes = ["date"] * (column == 0) + ["num"] * (column > 1) + ["wide"] * (column in _WIDE)
    return element(name, value, class_=" ".join(classes) or None)


def _row(week: Week, season: Season) -> Markup:
    targets = week.targets
    cells = [
        short_day(week.start),
        f"{week.phase}, easier" if week.is_easier else str(week.phase),
        f"{targets.moderate_equivalent_min}",
        *(
            number or "\N{EN DASH}"
            for number in (
                targets.vigorous_min,
                targets.circuits,
                targets.strength,
                targets.burst_practices,
                targets.mobility,
            )
        ),
        f"{targets.long_piece_min} min" if targets.long_piece_min else "\N{EN DASH}",
    ]
    is_now = week.start == season.weeks[0].start
    return element(
        "tr", *(_cell("td", text, n) for n, text in enumerate(cells)), class_="now" if is_now else None
    )


def this_week(fitted: FittedPlan) -> Markup:
    """Lay out the first week that still has sessions, day by day."""
    plan = first_with_sessions(fitted.weeks)
    if plan is None:
        return joined()
    is_now = plan.week.start <= fitted.adopter.season.today
    name = "This week" if is_now else "The first week"
    runs = _runs(plan.days)
    days = (_day(run, plan, fitted.adopter.rider) for run in runs)
    return element(
        "section", element("h2", f"{name}, from {day_in_words(plan.days[0].day)}"), *days, class_="week"
    )


def first_with_sessions(weeks: tuple[PlacedWeek, ...]) -> PlacedWeek | None:
    """Find the first week with anything left to do."""
    return next((week for week in weeks if any(day.sessions for day in week.days)), None)


def _runs(days: tuple[DayPlan, ...]) -> list[list[DayPlan]]:
    """Take days of rest that follow each other together."""
    runs: list[list[DayPlan]] = []
    for day in days:
        if runs and not day.sessions and not runs[-1][-1].sessions:
            runs[-1].append(day)
        else:
            runs.append([day])
    return runs


def _day(run: list[DayPlan], plan: PlacedWeek, rider: Rider) -> Markup:
    lines = [
        element(
            "div",
            element("b", f"{session.kind.label.capitalize()}, {session.minutes} min. "),
            in_one_line(parts_of(session, plan.week.targets, rider)),
        )
        for session in run[0].sessions
    ]
    first, last = run[0].day, run[-1].day
    name = weekday_and_day(first) if first == last else f"{first:%a} to {weekday_and_day(last)}"
    rest = element("div", "Rest.", class_="lead")
    return element("div", element("b", name), element("div", *(lines or [rest])), class_="day")


def efforts(rider: Rider) -> Markup:
    """Say how hard each kind of effort is: of the reserve, as a rating, by talking, in this rider's pulse."""
    rows = efforts_of(rider)
    has_pulse = any(pulse_of(aim) for _, _, aim in rows)
    heads = ["Effort", "How hard", "Rating 0 to 10", "Talk test", *(["Your pulse"] if has_pulse else [])]
    body = []
    for name, reserve, aim in rows:
        cells = [
            element("td", name),
            element("td", f"{aim.label}, {reserve}"),
            element("td", f"{aim.rpe_low} to {aim.rpe_high}", data_of="Rating 0 to 10"),
            element("td", aim.talk.sentence),
        ]
        if has_pulse:
            cells.append(element("td", element("b", pulse_of(aim)), data_of="Your pulse"))
        body.append(element("tr", *cells))
    reserve_is = "The reserve is what lies between resting and maximum heart rate: pulse = rest + share \N{MULTIPLICATION SIGN} (maximum \N{MINUS SIGN} rest)."
    return element(
        "section",
        element("h2", "How hard"),
        element(
            "table",
            element("thead", element("tr", *(element("th", text) for text in heads))),
            element("tbody", *body),
            class_="efforts",
        ),
        element("p", reserve_is, " ", rows[0][2].basis.sentence, class_="quiet"),
    )


def circuits(fitted: FittedPlan) -> Markup:
    """Write out the circuits with how each exercise is done."""
    done = [circuit for circuit in fitted.circuits if circuit.circuit is not None]
    missing = [circuit for circuit in fitted.circuits if circuit.circuit is None]
    if not fitted.circuits:
        return joined()
    how = (
        "Do every exercise the number of reps of the round, one after the other; then one rep fewer each round, "
        "down to 1. Straight after the steady work, while the pulse is still up."
    )
    return element(
        "section",
        element("h2", "Circuits" if len(done) != 1 else "Circuit"),
        element("p", how) if done else None,
        *(element("p", reason.sentence) for one in missing for reason in one.changes),
        element("div", *(_circuit(one, n) for n, one in enumerate(done, start=1)), class_="circuits"),
    )


def _circuit(fitted: FittedCircuit, number: int) -> Markup:
    circuit = fitted.circuit
    if circuit is None:
        return joined()
    items = [
        element(
            "li",
            element("b", station.exercise.name),
            " (each side). " if station.exercise.sides is Sides.EACH else ". ",
            station.exercise.instruction,
        )
        for station in circuit.stations
    ]
    moves = ", ".join(f"{move.exercise.name.lower()} {move.seconds / 60:g} min" for move in circuit.cool_down)
    return element(
        "div",
        element(
            "h3", f"Circuit {number}: {circuit.top_count} reps down to 1, about {circuit.minutes:.0f} min"
        ),
        element("ol", *items),
        element("p", _rest(fitted), f" Then {moves}." if moves else "", class_="quiet"),
        element("ul", *(element("li", reason.sentence) for reason in fitted.changes), class_="quiet")
        if fitted.changes
        else None,
        class_="circuit",
    )


def _rest(fitted: FittedCircuit) -> str:
    circuit, given = fitted.circuit, fitted.given
    if circuit is not None and circuit.rest.level_bpm is not None:
        return (
            f"Rest until your pulse is below {circuit.rest.level_bpm:.0f} bpm, or "
            f"{circuit.rest.at_most_s:.0f} s at most."
        )
    if given.rest_reserve is not None:
        return (
            f"Rest {given.rest_s:.0f} s between rounds, or until the pulse is below {100 * given.rest_reserve:.0f} % of "
            "the reserve and you can speak a sentence."
        )
    return f"Rest {given.rest_s:.0f} s between rounds."


def cautions() -> Markup:
    """Say what to beware of."""
    return element(
        "section",
        element("h2", "Beware"),
        element("p", STOP, class_="stop"),
        element("ul", *(element("li", caution) for caution in CAUTIONS)),
    )


def loading(plan_id: str) -> Markup:
    """Say how to have the plan in a calendar or in an own copy."""
    return element(
        "section",
        element("h2", "In your calendar, or in your own copy"),
        element(
            "p",
            "Open the calendar file (.ics) that came with this sheet on your phone or computer; a newer one "
            "updates the entries. With an own rideready, load the plan file (.json) with ",
            element("code", "rideready partner adopt FILE"),
            ": every number is then worked out from your own heart, days and equipment.",
        ),
        element("p", f"Plan {plan_id[:8]}", class_="quiet screen"),
    )
