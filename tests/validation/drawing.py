"""Small static line charts as SVG text, for figures beside the report; no library is needed to see them again."""

from dataclasses import dataclass
from html import escape

WIDTH, HEIGHT = 640, 380
LEFT, RIGHT, TOP, BOTTOM = 64, 170, 40, 56
#: Told apart by dash and marker as well as by shade.
STYLES = (("#123b5d", ""), ("#a4512a", "7 4"), ("#4f6b3a", "2 4"), ("#6b4a7d", "9 3 2 3"))


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a chart.

    Parameters
    ----------
    name
        For the legend.
    points
        x, y and the standard error of y, by x.
    """

    name: str
    points: tuple[tuple[float, float, float], ...]


@dataclass(frozen=True, slots=True)
class Axis:
    """What an axis means and which values it marks; the first and last mark are its ends."""

    label: str
    marks: tuple[float, ...]

    def place(self, value: float, low: float, high: float) -> float:
        """Where a value lies between two pixels."""
        first, last = self.marks[0], self.marks[-1]
        return low + (value - first) / (last - first) * (high - low)


def line_chart(
    title: str, x: Axis, y: Axis, lines: list[Line], *, wanted: tuple[float, float] | None = None
) -> str:
    """Draw lines with error bars of two standard errors.

    Parameters
    ----------
    title
        One line above the chart.
    x, y
        Axes; values beyond them are drawn at their ends.
    lines
        At most four.
    wanted
        Range of y that is asked for, shaded; none if None.

    Returns
    -------
    str
        An SVG document.
    """
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH}" height="{HEIGHT}"',
        f'viewBox="0 0 {WIDTH} {HEIGHT}" font-family="sans-serif" font-size="13" fill="#222">',
        f"<title>{escape(title)}</title>",
        f'<rect width="{WIDTH}" height="{HEIGHT}" fill="#fff"/>',
        f'<text x="{LEFT}" y="24" font-size="15">{escape(title)}</text>',
    ]
    if wanted is not None:
        top, bottom = _down(y, wanted[1]), _down(y, wanted[0])
        parts.append(
            f'<rect x="{LEFT}" y="{top:.1f}" width="{WIDTH - LEFT - RIGHT}" height="{bottom - top:.1f}" fill="#e7e3d8"/>'
        )
    parts += _axes(x, y)
    for line, (colour, dash) in zip(lines, STYLES, strict=False):
        parts += _line(line, x, y, colour=colour, dash=dash)
    parts += _legend(lines)
    return "\n".join([*parts, "</svg>", ""])


def _across(x: Axis, value: float) -> float:
    return x.place(value, LEFT, WIDTH - RIGHT)


def _down(y: Axis, value: float) -> float:
    return y.place(min(max(value, y.marks[0]), y.marks[-1]), HEIGHT - BOTTOM, TOP)


def _axes(x: Axis, y: Axis) -> list[str]:
    left, right, bottom = LEFT, WIDTH - RIGHT, HEIGHT - BOTTOM
    parts = [f'<path d="M{left} {TOP}V{bottom}H{right}" fill="none" stroke="#222"/>']
    for mark in x.marks:
        at = _across(x, mark)
        parts.append(f'<path d="M{at:.1f} {bottom}v5" stroke="#222"/>')
        parts.append(f'<text x="{at:.1f}" y="{bottom + 20}" text-anchor="middle">{mark:g}</text>')
    for mark in y.marks:
        at = _down(y, mark)
        parts.append(f'<path d="M{left} {at:.1f}H{right}" stroke="#ccc" stroke-width="0.6"/>')
        parts.append(f'<text x="{left - 8}" y="{at + 4:.1f}" text-anchor="end">{mark:g}</text>')
    middle = (TOP + bottom) / 2
    return [
        *parts,
        f'<text x="{(left + right) / 2:.1f}" y="{HEIGHT - 14}" text-anchor="middle">{escape(x.label)}</text>',
        f'<text x="18" y="{middle:.1f}" text-anchor="middle" transform="rotate(-90 18 {middle:.1f})">{escape(y.label)}</text>',
    ]


def _line(line: Line, x: Axis, y: Axis, *, colour: str, dash: str) -> list[str]:
    places = [(_across(x, at), _down(y, value)) for at, value, _ in line.points]
    path = "L".join(f"{across:.1f} {down:.1f}" for across, down in places)
    parts = [
        f'<path d="M{path}" fill="none" stroke="{colour}" stroke-width="2" stroke-dasharray="{dash}"/>',
    ]
    for (across, down), (_, value, se) in zip(places, line.points, strict=True):
        high, low = _down(y, value + 2 * se), _down(y, value - 2 * se)
        parts.append(f'<path d="M{across:.1f} {high:.1f}V{low:.1f}" stroke="{colour}"/>')
        parts.append(f'<circle cx="{across:.1f}" cy="{down:.1f}" r="3.5" fill="{colour}"/>')
    return parts


def _legend(lines: list[Line]) -> list[str]:
    parts = []
    for i, (line, (colour, dash)) in enumerate(zip(lines, STYLES, strict=False)):
        down, left = TOP + 12 + 24 * i, WIDTH - RIGHT + 14
        parts.append(
            f'<path d="M{left} {down}h26" stroke="{colour}" stroke-width="2" stroke-dasharray="{dash}"/>'
        )
        parts.append(f'<text x="{left + 32}" y="{down + 4}">{escape(line.name)}</text>')
    return parts
