"""A plan as a file: written, checked by its published schema, read again."""

import json
from importlib.resources import files
from typing import Any

import jsonschema
import pytest

from rideready.errors import UnreadableFile
from rideready.share.plan_file import content_digest, plan_document, plan_text
from rideready.share.reading import MOST_BYTES, is_name, plan_from_bytes
from tests.share.plans import a_plan


def _document() -> dict[str, Any]:
    found: dict[str, Any] = json.loads(plan_text(a_plan()))
    return found


def _read(document: Any) -> None:
    plan_from_bytes(json.dumps(document).encode(), "plan.json")


def test_a_plan_comes_back_as_it_was_written() -> None:
    assert plan_from_bytes(plan_text(a_plan()).encode(), "plan.json") == a_plan()


@pytest.mark.parametrize("name", ["plan.schema.json", "progress.schema.json"])
def test_the_published_schemas_are_schemas_of_2020_12(name: str) -> None:
    schema = json.loads(files("rideready.share").joinpath(name).read_text(encoding="utf-8"))
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    jsonschema.Draft202012Validator.check_schema(schema)


def test_every_object_of_the_schema_forbids_what_it_does_not_name() -> None:
    def objects(node: Any) -> list[dict[str, Any]]:
        inner = node.values() if isinstance(node, dict) else node if isinstance(node, list) else ()
        own = [node] if isinstance(node, dict) and node.get("type") == "object" else []
        return own + [found for one in inner for found in objects(one)]

    schema = json.loads(files("rideready.share").joinpath("plan.schema.json").read_text(encoding="utf-8"))
    found = objects(schema)
    assert len(found) == 6
    assert all(one["additionalProperties"] is False for one in found)


def test_intensities_are_relative_and_no_heart_rate_stands_in_the_file() -> None:
    document = plan_document(a_plan())
    # Garber et al. 2011, Med Sci Sports Exerc 43:1334-59: moderate 40 to 59 %, vigorous 60 to 89 % of the reserve.
    bounds = {one["label"]: (one["reserve_low"], one["reserve_high"]) for one in document["intensities"]}
    assert bounds["moderate"] == (0.40, 0.60)
    assert bounds["vigorous"] == (0.60, 0.90)
    assert "bpm" not in json.dumps(document)


def test_revision_day_and_giver_make_no_other_content_but_minutes_do() -> None:
    assert content_digest(a_plan()) == content_digest(a_plan(revision=7, giver="Somebody"))
    assert content_digest(a_plan()) != content_digest(a_plan(usual_min=120.0))


def _with(path: str, value: Any) -> dict[str, Any]:
    document = _document()
    *way, last = path.split(".")
    node: Any = document
    for step in way:
        node = node[int(step) if step.isdigit() else step]
    node[int(last) if last.isdigit() else last] = value
    return document


HOSTILE = {
    "another format": (_with("format", "recipe"), "it is no rideready plan file"),
    "a newer version": (_with("version", 2), "newer rideready"),
    "a version that is no number": (_with("version", True), "version is not 1"),
    "something besides": (_with("notes", "x"), "does not belong there"),
    "something besides in a week": (_with("weeks.0.gps", [1, 2]), "weeks, number 1 holds something"),
    "a heart rate": (_with("intensities.0.bpm", 150), "does not belong there"),
    "negative minutes": (_with("weeks.2.moderate_equivalent_min", -5), "is below 0"),
    "minutes without end": (_with("weeks.2.moderate_equivalent_min", 10**9), "is above 3000"),
    "half a circuit": (_with("weeks.2.circuits", 1.5), "is not a whole number"),
    "text for a number": (_with("weeks.0.bursts", "ten"), "is not a whole number"),
    "no weeks": (_with("weeks", []), "has fewer than 1"),
    "a day that is none": (_with("window.likely", "2026-13-45"), "no plan that can be used"),
    "a window the wrong way round": (_with("window.earliest", "2027-01-01"), "before the earliest"),
    "a week that starts on a Tuesday": (_with("weeks.0.start", "2026-10-06"), "do not follow each other"),
    "an unknown phase": (_with("weeks.0.phase", "glory"), "is none of build"),
    "script for a giver": (_with("giver", "<script>alert(1)</script>"), "giver holds characters"),
    "a formula for a giver": (_with("giver", "=HYPERLINK(1)"), "giver holds characters"),
    "a path for a giver": (_with("giver", "..\\..\\x"), "giver holds characters"),
    "a path for a plan": (_with("plan.id", "../../etc/passwd"), "plan, id holds characters"),
    "a line break after a plan's name": (_with("plan.id", a_plan().plan_id + "\n"), "plan, id holds"),
    "script for an exercise": (_with("circuits.0.exercises.0", "<img src=x>"), "number 1 holds characters"),
    "an exercise twice": (_with("circuits.0.exercises.1", "Goblet squat"), "names something twice"),
    "a giver without end": (_with("giver", "a" * 5000), "is longer than 60"),
    "nesting": (_with("circuits", [[[[[[[[[[[[[[[[]]]]]]]]]]]]]]]]), "'circuits' is nested too deeply"),
    "nothing that is an object": ([1], "it is no rideready plan file"),
}


@pytest.mark.parametrize("case", HOSTILE)
def test_a_hostile_plan_gives_one_sentence_without_repeating_its_text(case: str) -> None:
    document, expected = HOSTILE[case]
    with pytest.raises(UnreadableFile) as caught:
        _read(document)
    sentence = str(caught.value)
    assert expected in sentence
    assert "\n" not in sentence
    assert len(sentence) < 250
    assert not any(bad in sentence for bad in ("<", "HYPERLINK", "etc", "aaaa"))


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        (b"[" * 200_000, "nested too deeply"),
        (b'{"a":' * 100_000, "nested too deeply"),
        (b" " * (MOST_BYTES + 1), "more than 1000 kB"),
        (b"\xff\xfe\x00", "no JSON document"),
        (b"", "no JSON document"),
        (b'{"format": "rideready-plan", "version": NaN}', "no JSON document"),
        (b'{"format": "rideready-plan", "format": "rideready-plan"}', "no JSON document"),
        (b'{"format": "rideready-plan", "version": ' + b"9" * 6000 + b"}", "no JSON document"),
    ],
)
def test_bytes_that_are_no_plan_give_one_sentence(content: bytes, expected: str) -> None:
    with pytest.raises(UnreadableFile, match=expected):
        plan_from_bytes(content, "plan.json")


@pytest.mark.parametrize("text", ["Tam Oster", "Ønskjer Ås", "J. R.", "李", "O'Neil"])
def test_names_of_people_are_names(text: str) -> None:
    assert is_name(text)


@pytest.mark.parametrize(
    "text", ["", "=1+1", "+1", "-1", "@x", "a\nb", "a\n", "a/b", "a\\b", "<b>", "\u202eb", "\tx"]
)
def test_formulas_markup_paths_and_control_characters_are_no_names(text: str) -> None:
    assert not is_name(text)
