"""README mentions every command, and the commands it shows are commands."""

import re
from pathlib import Path

from rideready.cli.main import COMMANDS

ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def test_readme_mentions_every_command() -> None:
    assert [name for name in COMMANDS if f"rideready {name}" not in README] == []


def test_readme_shows_no_command_that_is_not_there() -> None:
    blocks = "".join(re.findall(r"```sh\n(.*?)```", README, flags=re.DOTALL))
    shown = set(re.findall(r"^rideready ([a-z-]+)", blocks, flags=re.MULTILINE))
    assert shown
    assert shown <= set(COMMANDS)


def test_the_two_set_up_commands_of_readme_are_there() -> None:
    scripts = re.findall(r"^bash (\S+)", README, flags=re.MULTILINE)
    assert scripts == ["sample_sessions/demo.sh", "tests/run.sh"]
    assert all((ROOT / script).is_file() for script in scripts)


def test_readme_opens_with_one_paragraph_that_states_the_job() -> None:
    first = README.split("\n\n")[1]
    assert first.startswith("rideready tells")
    assert "\n" not in first.strip()


def test_the_pictures_of_readme_are_there() -> None:
    pictures = re.findall(r"!\[[^\]]+\]\(([^)]+)\)", README)
    assert pictures
    assert all((ROOT / picture).is_file() for picture in pictures)
