"""Every text on screen comes from the catalogue, and everything in the catalogue is used."""

import re
from pathlib import Path

import pytest

from dashboards.urls import View
from dashboards.words import WORDS, say
from rideready.intensity import IntensityClass
from rideready.model.clean import Flag
from rideready.model.recovery import Grade, Mode
from rideready.model.season import Phase
from rideready.model.session import Kind
from rideready.model.trend import Verdict
from rideready.services.diary import FEELINGS
from rideready.services.done import DIARY_KINDS
from rideready.services.partner import Adoption

SOURCE = Path(__file__).resolve().parents[2] / "dashboards"
CODE = "\n".join(
    path.read_text(encoding="utf-8") for path in SOURCE.rglob("*.py") if path.parent.name != "words"
)


@pytest.mark.parametrize(
    "key",
    [
        *(f"verdict.{verdict}" for verdict in Verdict),
        *(f"legend.{grade}" for grade in Grade),
        *(f"legend.{mode}" for mode in Mode),
        *(f"kind.{kind}" for kind in Kind),
        *(f"flag.{flag.name.lower()}" for flag in Flag if flag is not Flag.OK),
        *(f"class.short.{step.value}" for step in IntensityClass),
        *(f"filter.view.{view}" for view in View),
        *(f"phase.{phase}" for phase in Phase),
        *(f"partner.outcome.{outcome}" for outcome in Adoption),
        *(f"today.kind.{kind}" for kind in (*DIARY_KINDS, *FEELINGS)),
    ],
)
def test_every_value_of_the_model_has_its_word(key: str) -> None:
    assert WORDS[key]


def test_no_text_is_left_over() -> None:
    # Families whose last part is a value of the model, a column or a control.
    built = (
        "nav.",
        "verdict.",
        "legend.",
        "kind.",
        "flag.",
        "class.short.",
        "filter.view.",
        "sessions.",
        "upload.",
        "rider.",
        "partner.save.",
        "partner.outcome.",
        "session.trace.",
        "filter.",
        "today.kind.",
        "today.ill.",
        "first.step.",
        "first.rider.sex.",
        "phase.",
        "empty.",
        "lost.",
        "season.table.",
        "week.line.",
        "week.target.",
        "circuit.start.",
        "circuit.rest_by.",
        "metronome.",
        "fieldtests.count.",
        "fieldtests.history.",
    )
    quoted = set(re.findall(r"""["']((?:[a-z]+\.)+[a-z0-9_.]+|[a-z_]+)["']""", CODE))
    unused = [key for key in WORDS if key not in quoted and not key.startswith(built)]
    assert unused == []


def test_a_missing_text_or_value_is_a_mistake_and_not_a_blank() -> None:
    with pytest.raises(KeyError):
        say("nothing.here")
    with pytest.raises(KeyError):
        say("page.none")
