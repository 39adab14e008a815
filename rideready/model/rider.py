"""Who the numbers are for."""

from dataclasses import dataclass
from enum import StrEnum


class Sex(StrEnum):
    """Which published equation applies, where sources give two."""

    MALE = "male"
    FEMALE = "female"


@dataclass(frozen=True, slots=True)
class Rider:
    """A rider's own numbers; everything may be unknown.

    Parameters
    ----------
    max_hr_bpm
        Measured maximum heart rate, bpm.
    resting_hr_bpm
        Resting heart rate, bpm, lying or sitting, awake.
    standing_hr_bpm
        Heart rate after some minutes of quiet standing, bpm.
    age_years
        Age; used only where no maximum was measured, and for published norms.
    sex
        Which of two published equations applies.
    name
        As the rider wants to be called.
    settle_reserve
        Settle level as a fraction of the reserve, 0.3 to 0.9. The default, 0.6, is where
        vigorous ends and moderate begins (Garber et al. 2011, Med Sci Sports Exerc 43:1334-59).
    takes_heart_rate_medicine
        Whether a medicine holds the pulse down or drives it up; classes by heart rate
        then do not apply.

    Raises
    ------
    ValueError
        If a value lies outside what a person can have, or rest is not below maximum.
    """

    max_hr_bpm: float | None = None
    resting_hr_bpm: float | None = None
    standing_hr_bpm: float | None = None
    age_years: float | None = None
    sex: Sex | None = None
    name: str = ""
    settle_reserve: float = 0.6
    takes_heart_rate_medicine: bool = False

    def __post_init__(self) -> None:
        limits = {
            "max_hr_bpm": (90, 240),
            "resting_hr_bpm": (25, 130),
            "standing_hr_bpm": (30, 160),
            "age_years": (8, 110),
            "settle_reserve": (0.3, 0.9),
        }
        for name, (low, high) in limits.items():
            value = getattr(self, name)
            if value is not None and not low <= value <= high:
                raise ValueError(f"{name} is {value}; it should lie between {low} and {high}")
        if self.max_hr_bpm and self.resting_hr_bpm and self.max_hr_bpm - self.resting_hr_bpm < 20:
            raise ValueError(
                f"max_hr_bpm {self.max_hr_bpm} must be at least 20 above resting_hr_bpm {self.resting_hr_bpm}"
            )
