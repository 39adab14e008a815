"""What a file is, by its first bytes and never by its name."""

from enum import StrEnum
from typing import Final

from rideready.errors import UnreadableFile
from rideready.importers.chain import SIGNATURE, looks_like_fit


class Content(StrEnum):
    """What the importers read."""

    FIT = "FIT"
    TABLE = "table"


_EXPORT: Final = "Export the session as FIT or CSV"

#: First bytes to what the file is, and what to do.
_SIGNATURES: Final = (
    (b"PK\x03\x04", "a zip archive or a spreadsheet", "Unpack it, or save the spreadsheet as CSV"),
    (b"\x1f\x8b", "a file packed with gzip", "Unpack it first"),
    (b"BZh", "a file packed with bzip2", "Unpack it first"),
    (b"\xfd7zXZ", "a file packed with xz", "Unpack it first"),
    (b"7z\xbc\xaf", "a 7z archive", "Unpack it first"),
    (b"Rar!", "a RAR archive", "Unpack it first"),
    (b"\xd0\xcf\x11\xe0", "an old spreadsheet or document", "Save it as CSV"),
    (b"%PDF", "a PDF", _EXPORT),
    (b"\x89PNG", "a picture", _EXPORT),
    (b"\xff\xd8\xff", "a picture", _EXPORT),
    (b"GIF8", "a picture", _EXPORT),
    (b"RIFF", "a picture or sound", _EXPORT),
    (b"SQLite format 3", "a database", _EXPORT),
    (b"\x7fELF", "a program", _EXPORT),
    (b"MZ", "a program", _EXPORT),
)
_UTF16: Final = (b"\xff\xfe", b"\xfe\xff")
#: Bytes that no text holds: control characters but tab, line ends, form feed and escape.
_CONTROL: Final = bytes(set(range(32)) - {0, 9, 10, 12, 13, 27})


def content_of(path: str, head: bytes) -> Content:
    """Tell what a file is.

    Parameters
    ----------
    path
        The file, as the user named it; for the sentence of an error.
    head
        Its first bytes, some thousands of them.

    Raises
    ------
    UnreadableFile
        If it is neither FIT nor text that may hold a table.
    """
    if not head.strip():
        raise UnreadableFile(path, "the file is empty", "Copy or export it again")
    if head[8:12] == SIGNATURE or looks_like_fit(head):
        return Content.FIT
    for signature, what, what_to_do in _SIGNATURES:
        if head.startswith(signature) and not (signature == b"MZ" and _is_text(head)):
            raise UnreadableFile(path, f"this is {what}, not a session", what_to_do)
    if not _is_text(head):
        raise UnreadableFile(path, "this is neither a FIT file nor text", _EXPORT)
    start = _first_characters(head)
    if start.startswith("<"):
        what = "a web page" if "html" in start[:200].casefold() else "an XML file"
        raise UnreadableFile(path, f"this is {what}, not a FIT or CSV file", _EXPORT)
    if start.startswith(("{", "[{", '["')):
        raise UnreadableFile(path, "this is a JSON file, not a FIT or CSV file", _EXPORT)
    return Content.TABLE


def _is_text(head: bytes) -> bool:
    if head.startswith(_UTF16):
        return True
    # Two bytes a letter: nearly every second byte is zero, and not the others.
    shares = [head[side::2].count(0) / max(len(head) // 2, 1) for side in (0, 1)]
    if 0 in head and not (max(shares) > 0.6 and min(shares) < 0.3):
        return False
    return sum(map(head.count, _CONTROL_BYTES)) <= 0.01 * len(head)


_CONTROL_BYTES: Final = [bytes([value]) for value in _CONTROL]


def _first_characters(head: bytes) -> str:
    return head[:1000].replace(b"\0", b"").lstrip(b"\xef\xbb\xbf\xff\xfe").decode("latin-1").lstrip()
