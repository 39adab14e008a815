"""Two plans side by side, as a script gets them and as a rider reads them."""

from typing import TYPE_CHECKING

from rideready.cli.output import plain, say, table

if TYPE_CHECKING:
    from rideready.model.comparison import Comparison


def changes_document(found: "Comparison") -> dict[str, object]:
    """Lay a comparison out as scripts get it."""
    return {
        "weeks": [
            {
                "start": change.start,
                "before": plain(change.before) if change.before else None,
                "after": plain(change.after) if change.after else None,
                "reasons": [reason.sentence for reason in change.reasons],
            }
            for change in found.weeks
        ],
        "causes": [reason.sentence for reason in found.causes],
        "consequences": [reason.sentence for reason in found.consequences],
    }


def show_changes(found: "Comparison", *, now: str, then: str) -> None:
    """Print what made the difference, what follows, and the weeks that differ."""
    for reason in (*found.causes, *found.consequences):
        say(f"  {reason.sentence}")
    if found.weeks:
        table(
            ["Week of", f">Minutes {then}", f">{now}", "Why"],
            [
                [
                    str(change.start),
                    str(change.before.moderate_equivalent_min) if change.before else "-",
                    str(change.after.moderate_equivalent_min) if change.after else "-",
                    " ".join(reason.sentence for reason in change.reasons),
                ]
                for change in found.weeks
            ],
        )
