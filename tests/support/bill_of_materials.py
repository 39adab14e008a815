"""What rideready is made of: a bill of materials in CycloneDX 1.6 (ECMA-424), from what is installed here.

``python -m tests.support.bill_of_materials --out bom.json``. It is made anew and not kept: what is installed
decides, and the same installation gives the same bytes. It names every library that is needed to run, those of the
optional extras as optional, and the one file of another project that lies in the tree. What libraries carry
inside themselves (Dash its React, numpy its OpenBLAS) is theirs to tell. Written here and not with a tool: the
libraries' own metadata say it all, and the tools know nothing of the file in ``assets``.
"""

import argparse
import hashlib
import json
import re
import uuid
from collections.abc import Iterator
from dataclasses import dataclass
from importlib.metadata import Distribution, PackageNotFoundError, distribution
from pathlib import Path
from typing import Any, Final

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

PROJECT: Final = "rideready"
ROOT: Final = Path(__file__).resolve().parents[2]
CHARTS: Final = ROOT / "dashboards" / "assets" / "00-plotly-basic.min.js"
#: Extras that a rider may want; the others are for working on the program.
EXTRAS: Final = ("postgres",)

#: How metadata that are older than SPDX expressions call a licence; "BSD License" leaves open which.
_SPDX: Final = {
    "MIT": "MIT",
    "MIT License": "MIT",
    "OSI Approved :: MIT License": "MIT",
    "BSD 3-Clause License": "BSD-3-Clause",
    "Apache 2": "Apache-2.0",
    "Apache-2.0": "Apache-2.0",
    "OSI Approved :: Apache Software License": "Apache-2.0",
    "MPL-2.0": "MPL-2.0",
    "ISC License": "ISC",
    "ZPL 2.1": "ZPL-2.1",
    "OSI Approved :: BSD License": "BSD License",
    "BSD": "BSD License",
}
#: The only words of SPDX expressions that are no licence.
_JOINTS: Final = frozenset({"AND", "OR", "WITH"})


@dataclass(frozen=True, slots=True)
class Part:
    """One library.

    Parameters
    ----------
    installed
        Its metadata.
    needs
        Names of the libraries it needs here.
    is_optional
        Whether rideready runs without it.
    """

    installed: Distribution
    needs: tuple[str, ...]
    is_optional: bool

    @property
    def name(self) -> str:
        """Its name, as an index compares it."""
        return canonicalize_name(self.installed.name)

    @property
    def licence(self) -> str:
        """Its licence: an SPDX expression where one can be had, else as its metadata have it."""
        return licence_of(self.installed)


def parts() -> list[Part]:
    """Return rideready itself and every library it needs here, by name; extras that are not installed are absent."""
    needed = _reached(())
    wanted = _reached(EXTRAS)
    return [
        Part(distribution(name), tuple(sorted(wanted[name])), is_optional=name not in needed)
        for name in sorted(wanted)
    ]


def _reached(extras: tuple[str, ...]) -> dict[str, set[str]]:
    """Return the libraries reached from rideready by name, with those that each needs."""
    reached: dict[str, set[str]] = {}
    to_look_at, seen = [(PROJECT, extras)], set()
    while to_look_at:
        name, extras = to_look_at.pop()
        if (name, extras) in seen:
            continue
        seen.add((name, extras))
        try:
            installed = distribution(name)
        except PackageNotFoundError:  # of an extra: what is needed is there, or nothing would start
            continue
        needs = [
            (canonicalize_name(need.name), tuple(sorted(need.extras))) for need in _needs(installed, extras)
        ]
        reached.setdefault(name, set()).update(need for need, _ in needs)
        to_look_at += needs
    return {name: needs & reached.keys() for name, needs in reached.items()}


def _needs(installed: Distribution, extras: tuple[str, ...]) -> Iterator[Requirement]:
    for line in installed.requires or ():
        needed = Requirement(line)
        if needed.marker is None or any(needed.marker.evaluate({"extra": extra}) for extra in ("", *extras)):
            yield needed


def licence_of(installed: Distribution) -> str:
    """Return a library's licence; raises ``ValueError`` if its metadata name none that is known."""
    told = installed.metadata
    expressions = told.get_all("License-Expression")
    if expressions:
        return str(expressions[0])
    words = "".join(told.get_all("License") or ()).strip().split("\n")[0]
    classes = (c.removeprefix("License :: ") for c in told.get_all("Classifier") or () if "License ::" in c)
    for word in (words, *classes):
        if word in _SPDX:
            return _SPDX[word]
    raise ValueError(f"{installed.name} names no licence that is known: {words!r}")


def licences_in(expression: str) -> frozenset[str]:
    """Return the licences that an expression names."""
    if expression in _SPDX.values():
        return frozenset({expression})
    return frozenset(re.split(r"[\s()]+", expression)) - _JOINTS - {""}


def bill() -> dict[str, Any]:
    """Return the bill as a document."""
    found = parts()
    (project,) = (part for part in found if part.name == PROJECT)
    charts = _charts()
    components = [_component(part) for part in found if part.name != PROJECT] + [charts]
    known = {part.name: _purl(part) for part in found}
    dependencies = [
        {
            "ref": known[part.name],
            "dependsOn": sorted(known[name] for name in part.needs)
            + ([charts["bom-ref"]] if part.name == PROJECT else []),
        }
        for part in found
    ]
    document = {
        "bomFormat": "CycloneDX",
        "specVersion": "1.6",
        "version": 1,
        "metadata": {"component": _component(project) | {"type": "application"}},
        "components": components,
        "dependencies": dependencies,
    }
    content = json.dumps(document, sort_keys=True)
    return document | {"serialNumber": f"urn:uuid:{uuid.uuid5(uuid.NAMESPACE_OID, content)}"}


def _purl(part: Part) -> str:
    return f"pkg:pypi/{part.name}@{part.installed.version}"


def _component(part: Part) -> dict[str, Any]:
    licence = part.licence
    if licence == "BSD License":
        licences: list[dict[str, Any]] = [{"license": {"name": licence}}]
    elif len(licences_in(licence)) == 1:
        licences = [{"license": {"id": licence}}]
    else:
        licences = [{"expression": licence}]
    return {
        "type": "library",
        "bom-ref": _purl(part),
        "name": part.name,
        "version": part.installed.version,
        "scope": "optional" if part.is_optional else "required",
        "purl": _purl(part),
        "licenses": licences,
    }


def _charts() -> dict[str, Any]:
    """Describe the file of another project that is shipped in the tree, by its own heading."""
    content = CHARTS.read_bytes()
    heading = content[:400].decode()
    version = re.search(r"plotly\.js \(basic - minified\) v([\d.]+)", heading)
    if version is None or "Licensed under the MIT license" not in heading:
        raise ValueError(f"{CHARTS.name} does not say what it is")
    purl = f"pkg:npm/plotly.js-basic-dist-min@{version[1]}"
    return {
        "type": "library",
        "bom-ref": purl,
        "name": "plotly.js-basic-dist-min",
        "version": version[1],
        "scope": "required",
        "purl": purl,
        "licenses": [{"license": {"id": "MIT"}}],
        "copyright": "2012-2026, Plotly, Inc.",
        "hashes": [{"alg": "SHA-256", "content": hashlib.sha256(content).hexdigest()}],
    }


def main() -> None:
    """Write the bill to a file or the screen."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    parser.add_argument("--out", type=Path)
    asked = parser.parse_args()
    text = json.dumps(bill(), indent=2) + "\n"
    if asked.out is None:
        print(text, end="")  # noqa: T201 - asked for
    else:
        asked.out.write_text(text, encoding="utf-8")


if __name__ == "__main__":
    main()
