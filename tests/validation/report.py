"""Build ``tests/validation/REPORT.md`` and its figures: how far the figures can be trusted, measured.

``python -m tests.validation.report`` from the project's folder; ``--draws 100`` is quicker and rougher, and
``--only kinetics_section`` measures one section again and leaves the others of the file as they are. Each section
is a module of this folder with ``section(*, draws) -> Section``.
"""

import argparse
import importlib
import re
import sys
import time
from pathlib import Path

from tests.validation.section import Section

FOLDER = Path(__file__).parent
#: Modules in the order of the report.
SECTIONS = ("kinetics_section", "sessions_section", "trend_section", "trend_limits_section")
HEAD = """# Validation report

Made by `python -m tests.validation.report`; every figure comes from simulation with fixed seeds, so running it again
gives the same. ± is one standard error. A fast part of each section runs in the tests (`tests/validation`,
`tests/recovery`); published values and reference libraries are in `tests/reference`.
"""


def measure(name: str, *, draws: int) -> Section:
    """Measure one section, and say on the error stream how long it took.

    Parameters
    ----------
    name
        Module of this folder.
    draws
        Handed to it.

    Returns
    -------
    Section
        Its text begins with a marker by which it is found again.
    """
    start = time.monotonic()
    found: Section = importlib.import_module(f"tests.validation.{name}").section(draws=draws)
    sys.stderr.write(f"{name}: {time.monotonic() - start:.0f} s\n")
    return Section(f"<!-- {name} -->\n{found.text.strip()}\n", found.drawings)


def sections_of(report: str) -> dict[str, str]:
    """Take a report apart: each section's text, marker included, by module."""
    starts = [*re.finditer(r"^<!-- (\w+) -->$", report, flags=re.MULTILINE)]
    ends = [match.start() for match in starts[1:]] + [len(report)]
    return {
        match[1]: report[match.start() : end].strip() + "\n" for match, end in zip(starts, ends, strict=False)
    }


def write(names: tuple[str, ...], folder: Path, *, draws: int) -> None:
    """Write ``REPORT.md`` and its figures into a folder, keeping sections that are not measured again.

    Parameters
    ----------
    names
        Modules to measure.
    folder
        Where the report is or will be.
    draws
        Handed to each section.
    """
    path = folder / "REPORT.md"
    texts = sections_of(path.read_text(encoding="utf-8")) if path.exists() else {}
    for name in names:
        found = measure(name, draws=draws)
        texts[name] = found.text
        for file_name, svg in found.drawings.items():
            (folder / file_name).write_text(svg, encoding="utf-8")
        ordered = [texts[known] for known in SECTIONS if known in texts]
        path.write_text("\n".join([HEAD, *ordered]), encoding="utf-8")


def main() -> None:
    """Write the report, whole or one section of it."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--draws", type=int, default=600, help="draws for the main rates")
    parser.add_argument("--only", choices=SECTIONS, help="measure this section again and keep the others")
    given = parser.parse_args()
    write((given.only,) if given.only else SECTIONS, FOLDER, draws=given.draws)


if __name__ == "__main__":
    main()
