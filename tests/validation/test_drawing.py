"""A chart puts values where its axes say, and is a document of its own."""

from xml.etree import ElementTree as ET

import pytest

from tests.validation.drawing import BOTTOM, HEIGHT, LEFT, RIGHT, TOP, WIDTH, Axis, Line, line_chart

SVG = "{http://www.w3.org/2000/svg}"
X, Y = Axis("gain, bpm", (0, 5, 10)), Axis("called, %", (0, 50, 100))


def drawn(*lines: Line, wanted: tuple[float, float] | None = None) -> ET.Element:
    return ET.fromstring(line_chart('Calls of "faster" & others', X, Y, list(lines), wanted=wanted))  # noqa: S314 - our own text


def test_a_value_lies_where_the_axes_put_it() -> None:
    (dot,) = drawn(Line("a", ((5.0, 50.0, 0.0),))).iter(f"{SVG}circle")

    assert float(dot.attrib["cx"]) == pytest.approx((LEFT + WIDTH - RIGHT) / 2)
    assert float(dot.attrib["cy"]) == pytest.approx((TOP + HEIGHT - BOTTOM) / 2)


def test_a_bar_reaches_two_standard_errors_both_ways() -> None:
    paths = [path.attrib["d"] for path in drawn(Line("a", ((5.0, 50.0, 10.0),))).iter(f"{SVG}path")]

    # 20 % of 284 pixels is 56.8, around the middle at 182.
    assert (HEIGHT - BOTTOM - TOP, "M267.0 125.2V238.8" in paths) == (284, True)


def test_what_is_asked_for_is_shaded_and_every_line_is_named() -> None:
    found = drawn(
        Line("2 a week", ((0.0, 5.0, 1.0),)), Line("3 a week", ((0.0, 8.0, 1.0),)), wanted=(50, 100)
    )

    shaded = [r for r in found.iter(f"{SVG}rect") if r.attrib["fill"] == "#e7e3d8"]
    assert float(shaded[0].attrib["height"]) == pytest.approx((HEIGHT - BOTTOM - TOP) / 2)
    texts = [text.text for text in found.iter(f"{SVG}text")]
    assert {"2 a week", "3 a week", "gain, bpm", "called, %", 'Calls of "faster" & others'} <= set(texts)
