"""The handout: a plan as one HTML file to read on a phone or to print on two sheets.

It needs no script and no network, and its own content security policy forbids both. Nothing but the plan and
the numbers of whoever it is for stands in it.
"""

import base64
import hashlib
from functools import cache
from importlib.resources import files

from rideready.model.season import Season
from rideready.share.fit_plan import FittedPlan
from rideready.share.handout_parts import (
    cautions,
    circuits,
    efforts,
    figures,
    loading,
    picture,
    questions,
    this_week,
    weeks_table,
)
from rideready.share.markup import Markup, element, joined
from rideready.share.words import STOP, day_in_words

#: The most a handout may weigh, bytes.
MOST_BYTES = 300_000
#: From so many weeks, or lines about circuits, on it is printed smaller; tried on paper size.
_MANY_WEEKS, _MANY_LINES = 12, 20


def handout_html(fitted: FittedPlan) -> str:
    """Write the handout of a plan.

    Parameters
    ----------
    fitted
        The plan, worked out for whoever the handout is for. Without a season it holds no plan and no
        intensity, only the way to a doctor.

    Returns
    -------
    str
        A whole HTML document.
    """
    body = _ask_first(fitted) if fitted.season is None else _plan(fitted, fitted.season)
    return (
        "<!DOCTYPE html>\n"
        + element("html", _head(fitted), element("body", body, class_=_density(fitted)), lang="en")
        + "\n"
    )


def _head(fitted: FittedPlan) -> Markup:
    style = _style()
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    policy = f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"
    return element(
        "head",
        element("meta", charset="utf-8"),
        element("meta", http_equiv="Content-Security-Policy", content=policy),
        element("meta", name="viewport", content="width=device-width, initial-scale=1"),
        element("meta", name="referrer", content="no-referrer"),
        element("title", _title(fitted)),
        element("style", style),
    )


@cache
def _style() -> Markup:
    """Load our own style; it holds nothing that would need escaping."""
    return Markup(files("rideready.share").joinpath("handout.css").read_text(encoding="utf-8"))


def _density(fitted: FittedPlan) -> str | None:
    """Set a long plan smaller in print, so that it stays on two sheets."""
    weeks = 0 if fitted.season is None else len(fitted.season.weeks)
    lines = sum(6 + len(one.changes) for one in fitted.circuits)
    return "dense" if weeks > _MANY_WEEKS or lines > _MANY_LINES else None


def _title(fitted: FittedPlan) -> str:
    return f"Ready for opening day: {fitted.adopter.name}" if fitted.adopter.name else "Ready for opening day"


def _heading(fitted: FittedPlan) -> Markup:
    plan, today = fitted.plan, fitted.adopter.season.today
    giver = f" From {plan.giver}'s plan." if plan.giver else ""
    lead = (
        f"The snow may come from {day_in_words(plan.window.earliest)} on and most likely by "
        f"{day_in_words(plan.window.likely)} {plan.window.likely.year}.{giver} "
        f"Made on {day_in_words(today)}, revision {plan.revision}."
    )
    return joined(element("h1", _title(fitted)), element("p", lead, class_="lead"))


def _plan(fitted: FittedPlan, season: Season) -> Markup:
    return joined(
        _heading(fitted),
        figures(season),
        questions(),
        this_week(fitted),
        element(
            "section",
            element("h2", "The weeks up to opening day"),
            picture(season),
            weeks_table(season),
            *(element("p", reason.sentence, class_="quiet") for reason in fitted.reasons),
        ),
        element(
            "div",
            efforts(fitted.adopter.rider),
            circuits(fitted),
            cautions(),
            loading(fitted.plan.plan_id),
            class_="second",
        ),
    )


def _ask_first(fitted: FittedPlan) -> Markup:
    """Write the handout of somebody who is to see a doctor first: no week, no circuit, no intensity."""
    return joined(
        _heading(fitted),
        element("div", *(element("p", one.sentence) for one in fitted.reasons), class_="doctor"),
        element(
            "section",
            element("h2", "What to bring up with the doctor"),
            element(
                "p",
                "You want to get ready for a season of riding in deep snow and steep ground: weeks of training that "
                "become harder, with short hard efforts, then days of hard work at altitude and in the cold. "
                "Ask what of it suits you, and whether there is a pulse or an effort to stay below.",
            ),
            element(
                "p",
                "With the doctor's consent, tell whoever gave you this sheet; your plan is then worked out for you.",
            ),
        ),
        element("section", element("h2", "Get help at once"), element("p", STOP, class_="stop")),
    )
