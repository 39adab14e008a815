"""Files that came from somebody else, read without trusting them: size, depth, layout, then meaning.

The layout is checked against the published schema itself (jsonschema), so that what other programs are
told and what is accepted here cannot drift apart. Nothing of a file is repeated in an error but the place.
"""

import json
import re
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING, Any

from rideready.errors import BadInput, UnreadableFile
from rideready.share.plan_file import FORMAT, VERSION, PlanFile, plan_from_document

if TYPE_CHECKING:
    from jsonschema import Draft202012Validator
    from jsonschema.exceptions import ValidationError

#: The most bytes a file of ours may have; a plan of two years has some 50 kB.
MOST_BYTES = 1_000_000
#: The deepest nesting of lists and objects; ours have four.
MOST_DEPTH = 12
_ASK_AGAIN = "Ask whoever gave it to you for a new one"


def read_plan_file(path: Path) -> PlanFile:
    """Read a plan file.

    Parameters
    ----------
    path
        The file.

    Raises
    ------
    UnreadableFile
        With one sentence, if it is no plan file.
    """
    return plan_from_bytes(read_bytes(path), str(path))


def plan_from_bytes(content: bytes, name: str) -> PlanFile:
    """Read a plan from bytes, as they are uploaded; raises as `read_plan_file`, naming ``name``."""
    document = document_from(content, name, schema="plan.schema.json", called=(FORMAT, VERSION))
    try:
        return plan_from_document(document)
    except (ValueError, BadInput) as error:
        what = error.what if isinstance(error, BadInput) else str(error)
        raise UnreadableFile(name, f"it is no plan that can be used: {what}", _ASK_AGAIN) from error


def read_bytes(path: Path) -> bytes:
    """Read a file of at most `MOST_BYTES`; raises `UnreadableFile`."""
    try:
        if not path.is_file():  # a pipe or a device could go on for ever
            raise UnreadableFile(str(path), "there is no such file", "Check the name")
        with path.open("rb") as opened:
            return opened.read(MOST_BYTES + 1)
    except OSError as error:
        raise UnreadableFile(str(path), f"it cannot be read ({error.strerror})", "Check the file") from error


def document_from(content: bytes, name: str, *, schema: str, called: tuple[str, int]) -> dict[str, Any]:
    """Read a JSON document and hold it against a schema.

    Parameters
    ----------
    content
        The bytes.
    name
        What to call the file in an error.
    schema
        File of the schema beside this module.
    called
        Format and version it must name.

    Raises
    ------
    UnreadableFile
        With one sentence.
    """
    document = _json_from(content, name)
    _check_kind(document, name, called)
    if (place := _too_deep(document)) is not None:
        raise UnreadableFile(name, f"{place} is nested too deeply for a file of this kind", _ASK_AGAIN)
    errors = sorted(schema_of(schema).iter_errors(document), key=lambda error: len(error.absolute_path))
    if errors:
        raise UnreadableFile(name, in_words(errors[0]), _ASK_AGAIN)
    found: dict[str, Any] = document
    return found


@cache
def schema_of(name: str) -> "Draft202012Validator":
    """Load a published schema, ready to check documents."""
    from jsonschema import Draft202012Validator  # wanted only where a file is read or written

    text = files("rideready.share").joinpath(name).read_text(encoding="utf-8")
    return Draft202012Validator(json.loads(text))


def is_name(text: str) -> bool:
    """Say whether a text can be a name in a shared file: short, without markup, formulas or paths."""
    schema: Any = schema_of("plan.schema.json").schema
    words = schema["$defs"]["words"]
    return 0 < len(text) <= words["maxLength"] and re.search(words["pattern"], text) is not None


def in_words(error: "ValidationError") -> str:
    """Say what a schema complains of, without repeating what stands in the file."""
    place = _place(error.absolute_path)
    wanted: Any = error.validator_value
    said = {
        "required": f"lacks {_missing(error) if error.validator == 'required' else ''}",
        "additionalProperties": "holds something that does not belong there",
        "type": f"is not {_kinds(wanted) if error.validator == 'type' else ''}",
        "const": f"is not {wanted}",
        "enum": f"is none of {_listed(wanted) if error.validator == 'enum' else ''}",
        "minimum": f"is below {wanted}",
        "maximum": f"is above {wanted}",
        "maxLength": f"is longer than {wanted} characters",
        "minItems": f"has fewer than {wanted} entries",
        "maxItems": f"has more than {wanted} entries",
        "pattern": "holds characters or a form that do not belong there",
        "uniqueItems": "names something twice",
    }
    return f"{place} {said.get(str(error.validator), 'is not as it should be')}"


def _json_from(content: bytes, name: str) -> Any:
    if len(content) > MOST_BYTES:
        raise UnreadableFile(
            name, f"it has more than {MOST_BYTES // 1000} kB, too much for a plan", _ASK_AGAIN
        )
    try:
        return json.loads(content.decode("utf-8-sig"), parse_constant=_refuse, object_pairs_hook=_object)
    except RecursionError as error:
        raise UnreadableFile(name, "it is nested too deeply for a file of this kind", _ASK_AGAIN) from error
    except ValueError as error:  # also what is no UTF-8, and numbers of thousands of digits
        raise UnreadableFile(name, "it is no JSON document", _ASK_AGAIN) from error


def _refuse(constant: str) -> float:
    raise ValueError(f"{constant} is no JSON")


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) < len(pairs):
        raise ValueError("a name stands twice in an object")
    return found


def _check_kind(document: Any, name: str, called: tuple[str, int]) -> None:
    """Tell a file of another kind, and one of a newer rideready, from a damaged one."""
    kind, version = called
    if not isinstance(document, dict) or document.get("format") != kind:
        raise UnreadableFile(
            name, f"it is no {kind.replace('-', ' ')} file", "Name a file that was shared so"
        )
    found = document.get("version")
    if isinstance(found, int) and not isinstance(found, bool) and found > version:
        raise UnreadableFile(name, "it was written by a newer rideready", "Update rideready to read it")


def _too_deep(document: Any) -> str | None:
    """Name the entry at the top under which a document is nested too deeply."""
    for key, value in document.items():
        layer, depth = [value], 1
        while layer:
            if depth > MOST_DEPTH:
                return f"the entry {key[:20]!r}" if key.isidentifier() else "one entry"
            layer = [
                inner
                for one in layer
                if isinstance(one, (dict, list))
                for inner in (one.values() if isinstance(one, dict) else one)
            ]
            depth += 1
    return None


def _place(path: Any) -> str:
    parts = [f"number {part + 1}" if isinstance(part, int) else str(part) for part in path]
    return ", ".join(parts) if parts else "it"


def _missing(error: "ValidationError") -> str:
    here = error.instance if isinstance(error.instance, dict) else {}
    wanted: Any = error.validator_value
    return _listed(name for name in wanted if name not in here)


def _kinds(wanted: Any) -> str:
    words = {
        "object": "an object",
        "array": "a list",
        "string": "a text",
        "integer": "a whole number",
        "number": "a number",
        "boolean": "true or false",
        "null": "nothing",
    }
    return " or ".join(words[one] for one in ([wanted] if isinstance(wanted, str) else wanted))


def _listed(words: Any) -> str:
    return ", ".join(str(word) for word in words)
