"""Units and the order of dates are kept for each rider."""

from pathlib import Path

import pytest

from rideready.services.context import open_context
from rideready.services.preferences import (
    DateForm,
    Preferences,
    Units,
    get_preferences,
    update_preferences,
)
from rideready.services.riders import add_rider


def test_choices_are_kept_for_the_rider_and_for_nobody_else(place: Path | str) -> None:
    first = open_context(place, rider="Runa")
    add_rider(place, "Tam")
    second = open_context(place, rider="Tam")
    update_preferences(first, units=Units.MILES)
    update_preferences(first, dates=DateForm.YEAR_FIRST)
    assert get_preferences(first) == Preferences(Units.MILES, DateForm.YEAR_FIRST)
    assert get_preferences(second) == Preferences()
    first.store.close()
    second.store.close()


def test_a_choice_there_is_not_is_a_mistake(place: Path | str) -> None:
    context = open_context(place, rider="Runa")
    with pytest.raises(TypeError):
        update_preferences(context, colour="red")
    context.store.close()
