"""Each section is built with few draws, and what it must show holds within what so few allow."""

from pathlib import Path

import numpy as np
import pytest
from scipy.stats import binom

from rideready.model.recovery import Grade
from tests.support.varied_sessions import Match, Outcome, varied_outcome
from tests.validation import kinetics_section, report, sessions_section
from tests.validation.section import Section
from tests.validation.sessions_section import Figure, drop_error_bpm, has_grade, holds_drop, tau_error

N_SESSIONS = 40


def at_least(rate: float, n: int) -> float:
    """Give the share that so many trials at a rate fall short of once in 1,000 times."""
    return float(binom.ppf(0.001, n, rate)) / n


@pytest.fixture(scope="module")
def outcomes() -> list[Outcome]:
    return [varied_outcome(seed) for seed in range(N_SESSIONS)]


def errors(outcomes: list[Outcome], figure: Figure, grade: Grade) -> list[float]:
    """Mean error of each session that has recoveries of a grade, so that sessions count as independent."""
    kept = has_grade(grade)
    values = [[figure(m) for m in o.matches if kept(m) and np.isfinite(figure(m))] for o in outcomes]
    return [float(np.mean(one)) for one in values if one]


@pytest.mark.parametrize("figure", [drop_error_bpm, tau_error], ids=["drop", "tau"])
def test_good_recoveries_are_more_exact_than_rough_ones(outcomes: list[Outcome], figure: Figure) -> None:
    good, rough = (errors(outcomes, figure, grade) for grade in (Grade.GOOD, Grade.ROUGH))

    # Half to two thirds of the error in the report; so few sessions put the difference 1.5 to 3 of its standard
    # errors above 0.
    assert min(len(good), len(rough)) >= 10
    assert np.mean(good) < np.mean(rough)


def test_clear_drops_are_found_and_little_else(outcomes: list[Outcome]) -> None:
    recall, precision, hits = sessions_section.detection(outcomes)

    assert recall >= at_least(0.97, len(hits))
    assert precision >= at_least(0.97, len(hits))


def test_the_drop_lies_within_its_error_in_whole_sessions_too(outcomes: list[Outcome]) -> None:
    held = [holds_drop(m) for o in outcomes for m in o.matches]
    held = [one for one in held if np.isfinite(one)]

    # 92 % over all sensors; recoveries of a session depend on each other, so a third of them count.
    assert np.mean(held) >= at_least(0.92, len(held) // 3)


def test_a_missed_recovery_has_no_error(outcomes: list[Outcome]) -> None:
    truth = outcomes[0].matches[0].truth
    missed = Match("strap", truth, 20.0, None)

    assert np.isnan([drop_error_bpm(missed), tau_error(missed), holds_drop(missed), missed.end_error_s]).all()


def test_the_posterior_holds_and_least_squares_does_not_at_every_window() -> None:
    rates = kinetics_section.rates_by_window(40)

    assert all(ours.held >= at_least(0.92, 40) for ours, _ in rates.values())
    assert all(ours.drop_held >= at_least(0.92, 40) for ours, _ in rates.values())
    assert all(theirs.held < 0.8 for window, (_, theirs) in rates.items() if window >= 90)


@pytest.mark.parametrize(
    ("name", "drawings"),
    [
        ("kinetics_section", {"coverage.svg"}),
        ("sessions_section", set()),
        ("trend_section", {"power.svg"}),
        ("trend_limits_section", set()),
    ],
)
def test_a_section_is_tables_without_a_hole_and_its_figures(name: str, drawings: set[str]) -> None:
    found = report.measure(name, draws=4)

    assert found.text.startswith(f"<!-- {name} -->\n## ")
    assert found.text.count("| --- |") >= 2
    assert "nan" not in found.text
    assert set(found.drawings) == drawings
    assert all(f"]({one})" in found.text for one in drawings)


def test_measuring_one_section_again_keeps_the_others(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(
        report,
        "measure",
        lambda name, draws: Section(f"<!-- {name} -->\n## {name} {draws}\n", {"a.svg": "<svg/>"}),
    )
    report.write(report.SECTIONS, tmp_path, draws=1)

    report.write((report.SECTIONS[1],), tmp_path, draws=2)

    text = (tmp_path / "REPORT.md").read_text(encoding="utf-8")
    headings = [line for line in text.splitlines() if line.startswith("## ")]
    assert headings == [f"## {name} {2 if i == 1 else 1}" for i, name in enumerate(report.SECTIONS)]
    assert (tmp_path / "a.svg").read_text(encoding="utf-8") == "<svg/>"


def test_the_report_in_the_tree_has_every_section_and_figure() -> None:
    text = (report.FOLDER / "REPORT.md").read_text(encoding="utf-8")

    assert tuple(report.sections_of(text)) == report.SECTIONS
    assert all((report.FOLDER / name).exists() for name in ("coverage.svg", "power.svg"))
