"""What rideready is made of is known, allowed, and what was pinned; without asking anybody outside."""

import hashlib
import json
import tomllib
from importlib.metadata import version
from importlib.resources import files
from typing import Any

import cyclonedx.schema
import pytest
from jsonschema import Draft7Validator
from jsonschema.exceptions import ValidationError
from packaging.requirements import Requirement
from packaging.version import Version
from referencing import Registry, Resource

from tests.support.bill_of_materials import CHARTS, PROJECT, ROOT, bill, licences_in, parts

#: Licences under which a library may be used here and passed on with this program; of the whole list only psycopg's
#: asks for more than its notice, and psycopg is an extra that each installs for himself.
ALLOWED = frozenset(
    {"MIT", "BSD-2-Clause", "BSD-3-Clause", "BSD License", "0BSD", "Apache-2.0", "ISC", "PSF-2.0"}
    | {"MPL-2.0", "ZPL-2.1", "Zlib", "CC0-1.0"}
)
ALLOWED_IN_EXTRAS = ALLOWED | {"LGPL-3.0-only"}
#: SHA-256 of plotly-basic.min.js in the package plotly.js-basic-dist-min 4.1.1 of the npm registry.
CHARTS_SHA256 = "99784e3abfb07b142a15e521a439e6d9addceadb3f79553fd24c72774f0649ba"


def validator() -> Draft7Validator:
    """Return CycloneDX's own schema of version 1.6, as its Python library carries it."""
    folder = files(cyclonedx.schema) / "_res"

    def read(name: str) -> Any:
        return json.loads((folder / f"{name}.SNAPSHOT.schema.json").read_text(encoding="utf-8"))

    # They name each other by the names of their files.
    names = ("spdx", "jsf-0.82")
    others = [(f"{name}.SNAPSHOT.schema.json", Resource.from_contents(read(name))) for name in names]
    document = read("bom-1.6")
    address = document["$id"].rsplit("/", maxsplit=1)[0]
    published = [(f"{address}/{name}", resource) for name, resource in others]
    registry: Registry[Any] = Registry().with_resources([*others, *published])
    return Draft7Validator(document, registry=registry)


def test_the_bill_of_materials_keeps_to_the_schema_of_cyclonedx() -> None:
    document = bill()
    validator().validate(document)
    document["components"][0]["licenses"] = [{"license": {"id": "Anything goes"}}]
    with pytest.raises(ValidationError):  # the schema is asked for what matters
        validator().validate(document)


def test_the_bill_holds_every_declared_library_in_the_version_installed() -> None:
    declared = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["dependencies"]
    components = {component["name"]: component["version"] for component in bill()["components"]}
    for line in declared:
        name = Requirement(line).name.lower().replace("_", "-")
        assert components[name] == version(name)
    assert len(components) > len(declared)  # what they need in turn is there too


def test_every_reference_of_the_bill_leads_to_one_of_its_parts() -> None:
    document = bill()
    references = {part["bom-ref"] for part in (document["metadata"]["component"], *document["components"])}
    assert len(references) == len(document["components"]) + 1
    for link in document["dependencies"]:
        assert {link["ref"], *link["dependsOn"]} <= references
    reached = {reference for link in document["dependencies"] for reference in link["dependsOn"]}
    assert references - reached == {document["metadata"]["component"]["bom-ref"]}


def test_the_same_installation_gives_the_same_bill() -> None:
    assert bill() == bill()


def test_no_library_is_under_a_licence_that_was_not_thought_about() -> None:
    for part in parts():
        allowed = ALLOWED_IN_EXTRAS if part.is_optional else ALLOWED
        assert licences_in(part.licence) <= allowed, part.name


def test_what_is_installed_is_what_was_pinned() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    for line in (*project["dependencies"], *project["optional-dependencies"]["test"]):
        wanted = Requirement(line)
        assert wanted.specifier.contains(Version(version(wanted.name))), line
    for line in project["optional-dependencies"]["test"]:
        assert {found.operator for found in Requirement(line).specifier} == {"=="}, line


def test_the_chart_library_in_the_tree_is_byte_for_byte_the_published_one() -> None:
    assert hashlib.sha256(CHARTS.read_bytes()).hexdigest() == CHARTS_SHA256
    (ours,) = (component for component in bill()["components"] if component["purl"].startswith("pkg:npm/"))
    assert ours["hashes"] == [{"alg": "SHA-256", "content": CHARTS_SHA256}]
    assert ours["version"] == "4.1.1"


def test_nothing_else_in_the_tree_is_somebody_elses() -> None:
    large = {path.name for path in CHARTS.parent.iterdir() if path.suffix == ".js" and ".min." in path.name}
    assert large == {CHARTS.name}
    assert bill()["metadata"]["component"]["name"] == PROJECT
