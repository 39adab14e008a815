"""Colours can be read, in both themes and in grey.

Contrast and relative luminance as WCAG 2.2 defines them (https://www.w3.org/TR/WCAG22/, "relative
luminance", "contrast ratio"); thresholds are its criteria 1.4.3 (text, 4.5) and 1.4.11 (marks, 3).
"""

import colorsys
import itertools
import json
from collections.abc import Mapping

import pytest

from dashboards.theme import DARK, FIGURE_CONFIG, LIGHT, RAMP, css_variables, dark_partners, figure_template

THEMES = pytest.mark.parametrize("theme", [LIGHT, DARK], ids=["light", "dark"])


def _luminance(colour: str) -> float:
    shares = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = (s / 12.92 if s <= 0.04045 else ((s + 0.055) / 1.055) ** 2.4 for s in shares)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _contrast(one: str, other: str) -> float:
    dark, light = sorted((_luminance(one), _luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def test_black_on_white_has_the_contrast_the_standard_names() -> None:
    assert _contrast("#000000", "#FFFFFF") == pytest.approx(21)


@THEMES
@pytest.mark.parametrize("paper", ["paper", "raised"])
@pytest.mark.parametrize("text", ["ink", "ink_soft", "accent"])
def test_every_text_colour_meets_aa_on_every_paper(theme: Mapping[str, str], paper: str, text: str) -> None:
    assert _contrast(theme[text], theme[paper]) >= 4.5


@THEMES
@pytest.mark.parametrize("mark", ["ink", "ink_soft", "accent", "left_out", "class_3"])
def test_every_mark_stands_out_from_the_paper(theme: Mapping[str, str], mark: str) -> None:
    # class_3 outlines the bars of all five classes, so that the lightest is seen too.
    assert _contrast(theme[mark], theme["paper"]) >= 3


@THEMES
def test_the_ramp_goes_one_way_from_the_paper_in_steps_a_grey_print_keeps(theme: Mapping[str, str]) -> None:
    steps = [_contrast(theme[f"class_{step}"], theme["paper"]) for step in range(5)]
    ratios = [after / before for before, after in itertools.pairwise(steps)]
    assert min(ratios) >= 1.35


@THEMES
def test_the_ramp_has_one_hue(theme: Mapping[str, str]) -> None:
    hues = [
        colorsys.rgb_to_hls(*(int(theme[f"class_{step}"][i : i + 2], 16) / 255 for i in (1, 3, 5)))[0] * 360
        for step in range(5)
    ]
    assert max(hues) - min(hues) <= 12


def test_no_two_roles_share_a_light_colour_so_that_each_finds_its_dark_partner() -> None:
    assert len(set(LIGHT.values())) == len(LIGHT)
    assert json.loads(dark_partners()) == {LIGHT[role]: DARK[role] for role in LIGHT}
    assert LIGHT.keys() == DARK.keys()


def test_figures_and_pages_take_their_colours_from_the_same_list() -> None:
    template = figure_template().to_plotly_json()
    assert template["layout"]["font"]["color"] == LIGHT["ink"]
    assert f"--accent:{LIGHT['accent']}" in css_variables()
    assert tuple(LIGHT[f"class_{step}"] for step in range(5)) == RAMP


def test_no_figure_shows_a_tool_bar_and_none_could_send_a_chart_away() -> None:
    assert FIGURE_CONFIG["displayModeBar"] is False
    assert {"sendChartToCloud", "sendDataToCloud"} <= set(FIGURE_CONFIG["modeBarButtonsToRemove"])
