"""What a section of the report is: words and tables, and figures that lie beside it."""

from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class Section:
    """One section.

    Parameters
    ----------
    text
        Markdown from a second-level heading on.
    drawings
        SVG documents by file name; the text shows them.
    """

    text: str
    drawings: dict[str, str] = field(default_factory=dict)


def percent(share: float, n: int) -> str:
    """Write a share of n trials with its binomial standard error."""
    return f"{100 * share:.1f} ± {100 * standard_error(share, n):.1f} %"


def standard_error(share: float, n: int) -> float:
    """Binomial standard error of a share of n trials."""
    return float((share * (1 - share) / n) ** 0.5)
