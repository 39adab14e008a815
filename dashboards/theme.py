"""How the dashboard looks: one ink, one accent, one ramp of a single hue, on light and on dark paper.

Every colour on a page or in a figure is named here. Figures are drawn with the light colours;
in the dark theme the browser swaps each for its dark partner (``assets/house.js``), so that a
figure is made once and needs no server call when the theme changes.
"""

import json
from functools import cache
from types import MappingProxyType
from typing import Any

import plotly.graph_objects as go

#: Role to colour on light paper. No two roles share a colour: the browser swaps by value.
LIGHT = MappingProxyType(
    {
        "paper": "#FBFAF6",
        "raised": "#F4F2EB",
        "ink": "#1C2430",
        "ink_soft": "#56606D",
        "rule": "#D8D4C9",
        "grid": "#E9E6DD",
        "accent": "#0F5F73",
        "band": "#D0E1E5",
        "left_out": "#8A8578",
        "class_0": "#DCE8E9",
        "class_1": "#ABC9CE",
        "class_2": "#74A6B0",
        "class_3": "#3A7785",
        "class_4": "#0D4350",
    }
)

#: The same roles on dark paper. "Hard" is always the step farthest from the paper.
DARK = MappingProxyType(
    {
        "paper": "#14181D",
        "raised": "#1B2026",
        "ink": "#ECE8DF",
        "ink_soft": "#A7AFB8",
        "rule": "#363E47",
        "grid": "#262D35",
        "accent": "#7CC6D6",
        "band": "#22444C",
        "left_out": "#8C8A80",
        "class_0": "#22383E",
        "class_1": "#2F5965",
        "class_2": "#438190",
        "class_3": "#72B1BF",
        "class_4": "#C2E8EF",
    }
)

#: From very light to near-maximal: one hue, each step plainly darker than the one before, so
#: that the order survives a grey print and every kind of colour blindness.
RAMP = tuple(LIGHT[f"class_{step}"] for step in range(5))

#: Fonts that are already on the machine; none is fetched. Figures use the same list.
SANS = '-apple-system, "Segoe UI", Roboto, "Noto Sans", "Liberation Sans", Arial, sans-serif'
SERIF = '"Iowan Old Style", Palatino, "Palatino Linotype", "Book Antiqua", Georgia, "Liberation Serif", serif'

#: The one configuration of every figure. Without the tool bar there is no button at all, the
#: charting library's "share to a cloud" among them; the names stand here too in case a figure
#: ever shows its bar.
FIGURE_CONFIG: MappingProxyType[str, Any] = MappingProxyType(
    {
        "displayModeBar": False,
        "displaylogo": False,
        "modeBarButtonsToRemove": ["sendChartToCloud", "sendDataToCloud"],
        "doubleClick": "reset",
        "responsive": True,
        "showTips": False,
    }
)


@cache
def figure_template() -> go.layout.Template:
    """Return the house template: hairlines, no frame, ink on transparent paper."""
    axis = {
        "gridcolor": LIGHT["grid"],
        "linecolor": LIGHT["rule"],
        "tickcolor": LIGHT["rule"],
        "tickfont": {"color": LIGHT["ink_soft"], "size": 12},
        "title": {"font": {"color": LIGHT["ink_soft"], "size": 12}, "standoff": 10},
        "zeroline": False,
        "ticks": "outside",
        "ticklen": 4,
        "automargin": True,
    }
    layout = go.Layout(
        paper_bgcolor="rgba(0,0,0,0)",
        plot_bgcolor="rgba(0,0,0,0)",
        font={"family": SANS, "size": 13, "color": LIGHT["ink"]},
        colorway=[LIGHT["accent"], LIGHT["ink"]],
        xaxis={**axis, "showgrid": False, "showline": True},
        yaxis={**axis, "ticks": "", "ticklabelstandoff": 4},
        margin={"l": 8, "r": 12, "t": 12, "b": 8},
        hoverlabel={
            "bgcolor": LIGHT["raised"],
            "bordercolor": LIGHT["rule"],
            "font": {"family": SANS, "size": 13, "color": LIGHT["ink"]},
            "align": "left",
        },
        showlegend=False,
        dragmode=False,
        hovermode="closest",
        separators=". ",
    )
    return go.layout.Template(layout=layout)


def css_variables() -> str:
    """Return both palettes and the fonts as CSS custom properties.

    The dark one holds where the reader chose it, or the system asks for it and the reader has
    not chosen; the browser marks the root element before the first paint.
    """
    light = "".join(f"--{role.replace('_', '-')}:{colour};" for role, colour in LIGHT.items())
    dark = "".join(f"--{role.replace('_', '-')}:{colour};" for role, colour in DARK.items())
    fonts = f"--sans:{SANS};--serif:{SERIF};"
    return (
        f":root{{{fonts}{light}color-scheme:light}}"
        f":root[data-mantine-color-scheme=dark]{{{dark}color-scheme:dark}}"
    )


def dark_partners() -> str:
    """Return a JSON object from each light colour to its dark partner."""
    return json.dumps({LIGHT[role]: DARK[role] for role in LIGHT})


def component_theme() -> dict[str, object]:
    """Return the settings of the component library: our fonts, accent and square-cut corners."""
    # The library wants ten shades of the main colour; only the accent and neighbours are used.
    shades = [
        "#EDF5F6", "#DCE8E9", "#ABC9CE", "#74A6B0", "#7CC6D6",
        "#3A7785", "#0F5F73", "#0D4F60", "#0D4350", "#0A333D",
    ]  # fmt: skip
    # Its own greys of the dark theme, text first and deepest last, brought to our paper.
    greys = [
        DARK["ink"], "#C9CBC8", DARK["ink_soft"], "#7B848E", DARK["rule"],
        "#2A3138", DARK["raised"], DARK["paper"], DARK["raised"], "#0E1115",
    ]  # fmt: skip
    return {
        "fontFamily": SANS,
        "fontFamilyMonospace": "ui-monospace, monospace",
        "headings": {"fontFamily": SERIF, "fontWeight": "600"},
        "colors": {"spruce": shades, "dark": greys},
        "primaryColor": "spruce",
        "primaryShade": {"light": 6, "dark": 4},
        "defaultRadius": "sm",
        "respectReducedMotion": True,
        "focusRing": "auto",
    }
