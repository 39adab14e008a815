"""The handout: one small file, every text escaped, nothing to run and nothing to fetch."""

import base64
import hashlib
import re
from dataclasses import replace
from html.parser import HTMLParser
from xml.etree import ElementTree as ET

from rideready.model.condition import Clearance
from rideready.model.rider import Rider
from rideready.share.fit_plan import fit_plan
from rideready.share.handout import MOST_BYTES, handout_html
from rideready.share.markup import element, text
from rideready.share.plan_picture import plan_picture
from tests.share.plans import a_beginner, a_fitted_plan, a_plan

SCRIPT = "</title><script>alert(1)</script><img src=x onerror=alert(2)>\"'&"


class _Tags(HTMLParser):
    """Collects elements and their attributes."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))


def _tags(html: str) -> list[tuple[str, dict[str, str | None]]]:
    parser = _Tags()
    parser.feed(html)
    return parser.found


def test_it_is_small_and_holds_weeks_circuits_efforts_and_cautions() -> None:
    html = handout_html(a_fitted_plan())
    assert len(html.encode()) < MOST_BYTES
    for part in (
        "The weeks up to opening day",
        "This week",
        "How hard",
        "Circuits",
        "Beware",
        "partner adopt",
    ):
        assert part in html
    assert "moderate, 40 to 59 % of the reserve" in html  # Garber et al. 2011
    assert "You can talk, but not sing." in html
    assert "Stop and get help" in html
    assert "See a doctor first if any of these is true of you" in html


def test_pulse_numbers_are_the_partners() -> None:
    # Karvonen et al. 1957 by hand: 67 + 0.4 * (191 - 67) = 116.6 and 67 + 0.6 * 124 = 141.4, inside the class.
    assert "117 to 141 bpm" in handout_html(a_fitted_plan())


def test_without_numbers_of_the_partner_no_pulse_stands_in_it() -> None:
    html = handout_html(fit_plan(a_plan(), a_beginner()))
    assert re.search(r"\d bpm", html) is None
    assert "60 to 89 % of the reserve" in html


def test_an_age_gives_pulse_numbers_and_says_that_they_are_predicted() -> None:
    html = handout_html(fit_plan(a_plan(), a_beginner(rider=Rider(age_years=29, resting_hr_bpm=67))))
    assert "predicted" in html
    # Tanaka et al. 2001: 208 - 0.7 * 29 = 187.7; 67 + 0.4 * 120.7 = 115.3.
    assert "116 to 139 bpm" in html


def test_every_text_is_escaped() -> None:
    fitted = a_fitted_plan()
    plan = replace(fitted.plan, giver=SCRIPT)
    html = handout_html(replace(fitted, plan=plan, adopter=replace(fitted.adopter, name=SCRIPT)))
    tags = _tags(html)
    assert not any(tag in {"script", "img", "iframe", "object", "link", "base", "form"} for tag, _ in tags)
    assert not any(name.startswith("on") or name == "style" for _, attrs in tags for name in attrs)
    assert html.count("alert(1)") == 3  # in the title, the heading and the lead, as text


def test_the_policy_allows_its_own_style_and_nothing_else() -> None:
    html = handout_html(a_fitted_plan())
    tags = _tags(html)
    policies = [a["content"] for tag, a in tags if a.get("http-equiv") == "Content-Security-Policy"]
    style = re.search(r"<style>(.*?)</style>", html, re.DOTALL)
    assert style is not None
    digest = base64.b64encode(hashlib.sha256(style[1].encode()).digest()).decode()
    assert policies == [
        f"default-src 'none'; style-src 'sha256-{digest}'; base-uri 'none'; form-action 'none'"
    ]


def test_nothing_is_fetched() -> None:
    html = handout_html(a_fitted_plan())
    assert not any(name in {"src", "href", "srcset", "data"} for _, attrs in _tags(html) for name in attrs)
    assert "url(" not in html
    assert "@import" not in html
    assert "http:" not in html.replace("http-equiv", "")
    assert "https:" not in html


def test_the_picture_is_well_formed_with_a_bar_for_each_week_and_words_for_the_blind() -> None:
    season = a_fitted_plan().season
    assert season is not None
    svg = ET.fromstring(plan_picture(season))  # noqa: S314 - our own picture
    bars = [one for one in svg.iter("rect") if one.get("class") == "vigorous"]
    assert len(bars) == len(season.weeks)
    assert svg.get("role") == "img"
    assert f"{len(season.weeks)} weeks, from 60 minutes" in (svg.findtext("desc") or "")


def test_a_bar_is_as_high_as_its_minutes() -> None:
    season = a_fitted_plan().season
    assert season is not None
    svg = ET.fromstring(plan_picture(season))  # noqa: S314 - our own picture
    upper = [float(one.get("height", 0)) for one in svg.iter("rect") if one.get("class") == "moderate"]
    lower = [float(one.get("height", 0)) for one in svg.iter("rect") if one.get("class") == "vigorous"]
    minutes = [week.targets.moderate_equivalent_min for week in season.weeks]
    scale = (upper[0] + lower[0]) / minutes[0]
    for high, low, asked in zip(upper, lower, minutes, strict=True):
        assert abs(high + low - scale * asked) < 0.2  # heights are written to a tenth


def test_whoever_is_to_ask_a_doctor_reads_that_and_no_intensity() -> None:
    html = handout_html(fit_plan(a_plan(), a_beginner(clearance=Clearance.ASK_FIRST)))
    assert "See a doctor before you start" in html
    for word in ("RPE", "reserve", "bpm", "vigorous", "Circuit", "min.", "The weeks"):
        assert word not in html.split("</style>")[1], word


def test_markup_is_never_escaped_twice_and_text_never_left_as_it_is() -> None:
    assert element("p", element("b", "<"), "&", title='"') == '<p title="&quot;"><b>&lt;</b>&amp;</p>'
    assert text("a\x00\u202eb") == "ab"
