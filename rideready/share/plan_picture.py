"""A picture of a plan: a bar a week up to the opening window, drawn as inline SVG."""

import datetime as dt

from rideready.model.season import Season, Week
from rideready.share.markup import Markup, element, joined
from rideready.share.words import day_in_words, short_day

_WIDTH, _HEIGHT = 420.0, 172.0
_LEFT, _RIGHT, _TOP, _FLOOR = 4.0, 4.0, 20.0, 130.0
#: So many weeks at most get their number above the bar and a date below it; else every second, third ...
_LABELLED = 9


def plan_picture(season: Season) -> Markup:
    """Draw the weeks of a season.

    Parameters
    ----------
    season
        The plan. A bar is the week's moderate-equivalent minutes; its dark foot is what vigorous minutes count in
        them. The opening window is shaded.

    Returns
    -------
    Markup
        One ``svg`` element with a title and a description for those who cannot see it.
    """
    weeks = season.weeks
    step = (_WIDTH - _LEFT - _RIGHT) / len(weeks)
    most = max(1, *(week.targets.moderate_equivalent_min for week in weeks))
    scale = (_FLOOR - _TOP - 14) / most
    bars = [_bar(week, _LEFT + n * step, step, scale) for n, week in enumerate(weeks)]
    every = -(-len(weeks) // _LABELLED)
    labels = [_label(week, _LEFT + n * step, step, scale) for n, week in enumerate(weeks) if n % every == 0]
    return element(
        "svg",
        element("title", "The weeks up to opening day", id="picture-title"),
        element("desc", _described(season), id="picture-text"),
        _window(season, step),
        *bars,
        element("line", x1=0, x2=_WIDTH, y1=_FLOOR, y2=_FLOOR, class_="axis"),
        *labels,
        *_phases(weeks, step),
        viewBox=f"0 0 {_WIDTH:g} {_HEIGHT:g}",
        role="img",
        aria_labelledby="picture-title picture-text",
    )


def _bar(week: Week, left: float, step: float, scale: float) -> Markup:
    """Draw one week: what vigorous minutes count at the foot, the rest above."""
    gap = min(step * 0.22, 5.0)
    vigorous = 2 * week.targets.vigorous_min * scale
    whole = week.targets.moderate_equivalent_min * scale
    place = {"x": f"{left + gap / 2:.1f}", "width": f"{step - gap:.1f}"}
    return joined(
        element(
            "rect",
            **place,
            y=f"{_FLOOR - whole:.1f}",
            height=f"{max(whole - vigorous, 0):.1f}",
            class_="moderate",
        ),
        element("rect", **place, y=f"{_FLOOR - vigorous:.1f}", height=f"{vigorous:.1f}", class_="vigorous"),
    )


def _label(week: Week, left: float, step: float, scale: float) -> Markup:
    """Write minutes above a bar and its Monday below it."""
    minutes = week.targets.moderate_equivalent_min
    middle = left + step / 2
    return joined(
        element(
            "text",
            minutes,
            x=f"{middle:.1f}",
            y=f"{_FLOOR - minutes * scale - 4:.1f}",
            text_anchor="middle",
            class_="number",
        ),
        element(
            "text",
            short_day(week.start),
            x=f"{min(max(middle, 19), _WIDTH - 19):.1f}",
            y=f"{_FLOOR + 13:.1f}",
            text_anchor="middle",
        ),
    )


def _window(season: Season, step: float) -> Markup:
    """Shade the opening window and mark the likely day."""
    window, first = season.request.window, season.weeks[0].start

    def at(day: dt.date) -> float:
        return _LEFT + min(max((day - first).days / 7 * step, 0), _WIDTH - _LEFT - _RIGHT)

    low, high = at(window.earliest), at(window.likely + dt.timedelta(days=1))
    return joined(
        element(
            "rect",
            x=f"{low:.1f}",
            y=16,
            width=f"{max(high - low, 1.5):.1f}",
            height=f"{_FLOOR - 16:.1f}",
            class_="window",
        ),
        element("line", x1=f"{high:.1f}", x2=f"{high:.1f}", y1=16, y2=_FLOOR, class_="edge"),
        element("text", "opening window", x=f"{high:.1f}", y=11, text_anchor="end"),
    )


def _phases(weeks: tuple[Week, ...], step: float) -> list[Markup]:
    """Write what each run of weeks is for, under a line as long as it."""
    drawn, start = [], 0
    for n in range(1, len(weeks) + 1):
        if n < len(weeks) and weeks[n].phase is weeks[start].phase:
            continue
        left, right = _LEFT + start * step + 1, _LEFT + n * step - 1
        name = str(weeks[start].phase)
        drawn.append(element("line", x1=f"{left:.1f}", x2=f"{right:.1f}", y1=151, y2=151, class_="axis"))
        if len(name) * 5.6 <= right - left + 4:
            middle = f"{(left + right) / 2:.1f}"
            drawn.append(element("text", name, x=middle, y=165, text_anchor="middle"))
        start = n
    return drawn


def _described(season: Season) -> str:
    weeks, window = season.weeks, season.request.window
    most = max(weeks, key=lambda week: week.targets.moderate_equivalent_min)
    return (
        f"{len(weeks)} weeks, from {weeks[0].targets.moderate_equivalent_min} minutes in the first up to "
        f"{most.targets.moderate_equivalent_min} in that of {day_in_words(most.start)}, then fewer before the opening "
        f"window from {day_in_words(window.earliest)} to {day_in_words(window.likely)}."
    )
