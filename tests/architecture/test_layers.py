"""Imports go down, and no file outgrows its room."""

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
FILES = sorted(p for room in ("rideready", "dashboards", "tests") for p in (ROOT / room).rglob("*.py"))
#: What the browser reads; the chart library comes packed by others.
FILES += sorted(p for p in (ROOT / "dashboards/assets").glob("*.[cj]s*") if "plotly" not in p.name)


def test_imports_go_down() -> None:
    done = subprocess.run(
        [Path(sys.executable).parent / "lint-imports", "--no-cache"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert "KEPT" in done.stdout, done.stdout + done.stderr
    assert done.returncode == 0, done.stdout


@pytest.mark.parametrize("path", FILES, ids=lambda p: str(p.relative_to(ROOT)))
def test_no_file_is_over_350_lines(path: Path) -> None:
    assert len(path.read_text(encoding="utf-8").splitlines()) <= 350
