"""Build ``tests/validation/REPORT.md``: how far the figures can be trusted, measured.

``python -m tests.validation.report`` from the project's folder; ``--draws 100`` is quicker and rougher, and
``--only kinetics_section`` prints one section instead of writing the file. Each section is a module of this
folder with ``section(*, draws) -> str``.
"""

import argparse
import importlib
import sys
import time
from pathlib import Path

REPORT = Path(__file__).with_name("REPORT.md")
#: Modules in the order of the report.
SECTIONS = ("kinetics_section", "trend_section")
HEAD = """# Validation report

Made by `python -m tests.validation.report`; every figure comes from simulation or from published data with fixed
seeds, so running it again gives the same. Shares carry their standard error. A fast part of each section runs in
the tests.
"""


def build(names: tuple[str, ...], *, draws: int) -> str:
    """Write the report's sections one after the other.

    Parameters
    ----------
    names
        Modules of this folder.
    draws
        Handed to each section.

    Returns
    -------
    str
        Markdown.
    """
    parts = [HEAD]
    for name in names:
        start = time.monotonic()
        module = importlib.import_module(f"tests.validation.{name}")
        parts.append(str(module.section(draws=draws)).rstrip() + "\n")
        sys.stderr.write(f"{name}: {time.monotonic() - start:.0f} s\n")
    return "\n".join(parts)


def main() -> None:
    """Write the file, or print one section."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--draws", type=int, default=1000, help="draws for the main rates")
    parser.add_argument("--only", choices=SECTIONS, help="print this section instead of writing the file")
    given = parser.parse_args()
    if given.only:
        sys.stdout.write(build((given.only,), draws=given.draws))
    else:
        REPORT.write_text(build(SECTIONS, draws=given.draws), encoding="utf-8")


if __name__ == "__main__":
    main()
