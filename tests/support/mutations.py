"""Spoils files the way disks, cables, editors and spreadsheets do, and worse; the same for the same seed."""

import random
import re
from collections.abc import Callable, Sequence

#: Cells that have broken readers of tables before: other numbers, times, dates, quotes, markup, nothing.
ODD_CELLS = (
    *("", " ", "0", "-0", "-5", "1e400", "-inf", "NaN", "null", "--", "1,5", "1.234,5", "1'234", "1_000"),
    *(
        "0x1F",
        "99999999999999999999999",
        "1e-320",
        "25:61:61",
        "12:30 PM",
        "00:00 AM",
        "13:30 PM",
        "24:00:00",
    ),
    *("0001-01-01T00:00:00+14:00", "9999-12-31T23:59:59-12:00", "2026-02-30", "2026-10-25T02:30:00"),
    *(
        "29.02.2027",
        "31/04/2026",
        "1789198200",
        "1789198200000",
        "-1789198200",
        "2026-09-12T07:30:00.123456789Z",
    ),
    *(
        '"',
        '""',
        '"a',
        "'",
        "=1+1",
        "\u0661\u0662",
        "\u22125",
        "\u00bd",
        "\N{SNOWMAN}",
        "\u202e",
        "a\tb",
        "\0",
    ),
    *(
        "time",
        "hr",
        "Puls",
        "speed (km/h)",
        "Tempo",
        "min/km",
        "<b>",
        "{}",
        "[1,2]",
        "\ufeff",
        "1;2",
        "1\u00a0000",
    ),
)
DELIMITERS = (",", ";", "\t", "|", " ", "::", "")
ENCODINGS = ("utf-16", "utf-16-le", "utf-16-be", "cp1252", "utf-8-sig", "utf-32", "shift_jis", "utf-7")
LINE_ENDS = ("\r\n", "\r", "\n\n", "\x85", "\u2028", "\v")
#: Numbers at the edges of what a few bytes hold.
EDGES = (b"\0", b"\xff", b"\x7f", b"\x80", b"\xff\xff", b"\0\0\0\0", b"\xff\xff\xff\xff", b"\xff\xff\xff\x7f")

Change = Callable[[bytes, random.Random], bytes]
_CELL = re.compile(r"[^,;\t|\r\n]+")


def flip_bits(data: bytes, rng: random.Random) -> bytes:
    """Flip single bits, a few or one in a thousand."""
    spoilt = bytearray(data)
    for _ in range(rng.choice((1, 1, 3, 1 + len(data) // 1000))):
        spoilt[rng.randrange(len(spoilt))] ^= 1 << rng.randrange(8)
    return bytes(spoilt)


def overwrite(data: bytes, rng: random.Random) -> bytes:
    """Put edge values over some bytes."""
    value = rng.choice(EDGES) * rng.choice((1, 1, 1, 16, 200))
    at = rng.randrange(len(data))
    return data[:at] + value + data[at + len(value) :]


def cut_out(data: bytes, rng: random.Random) -> bytes:
    """Lose a stretch."""
    at = rng.randrange(len(data))
    return data[:at] + data[at + rng.choice((1, 2, 7, 40, 512, len(data) // 3)) :]


def cut_off(data: bytes, rng: random.Random) -> bytes:
    """Lose the end."""
    return data[: rng.randrange(len(data))]


def repeat(data: bytes, rng: random.Random) -> bytes:
    """Write a stretch again, somewhere."""
    at, to = rng.randrange(len(data)), rng.randrange(len(data))
    return data[:to] + data[at : at + rng.choice((1, 9, 64, 700))] * rng.choice((1, 1, 2, 30)) + data[to:]


def insert_noise(data: bytes, rng: random.Random) -> bytes:
    """Insert random bytes."""
    at = rng.randrange(len(data))
    return data[:at] + rng.randbytes(rng.choice((1, 3, 20, 300))) + data[at:]


def swap_halves(data: bytes, rng: random.Random) -> bytes:
    """Put the end before the start."""
    at = rng.randrange(len(data))
    return data[at:] + data[:at]


def _on_text(change: Callable[[str, random.Random], str]) -> Change:
    def changed(data: bytes, rng: random.Random) -> bytes:
        text = change(data.decode("latin-1"), rng)
        return text.encode("latin-1" if text.isascii() or max(text) <= "\xff" else "utf-8")

    return changed


def _odd_cell(text: str, rng: random.Random) -> str:
    cells = list(_CELL.finditer(text))
    for cell in sorted(rng.sample(cells, min(len(cells), rng.choice((1, 2, 20)))), key=lambda c: -c.start()):
        text = text[: cell.start()] + rng.choice(ODD_CELLS) + text[cell.end() :]
    return text


def _odd_column(text: str, rng: random.Random) -> str:
    """Put one odd cell into the same column of every line."""
    delimiter = max(",;\t|", key=text.count)
    column, cell = rng.randrange(6), rng.choice(ODD_CELLS)
    rows = [line.split(delimiter) for line in text.split("\n")]
    for row in rows[rng.randrange(3) :]:
        if len(row) > column:
            row[column] = cell
    return "\n".join(delimiter.join(row) for row in rows)


def _odd_lines(text: str, rng: random.Random) -> str:
    lines = text.split("\n")
    one, other = rng.randrange(len(lines)), rng.randrange(len(lines))
    low, high = sorted((one, other))
    match rng.randrange(6):
        case 0:
            lines[one], lines[other] = lines[other], lines[one]
        case 1:
            rng.shuffle(lines)
        case 2:
            lines[low:high] = []
        case 3:
            lines[one:one] = lines[low : low + 50]
        case 4:
            lines[one] = lines[one] * rng.choice((2, 40))
        case _:
            lines = lines[: rng.choice((1, 2, 3, 5))]
    return "\n".join(lines)


def _another_delimiter(text: str, rng: random.Random) -> str:
    return text.replace(max(",;\t|", key=text.count), rng.choice(DELIMITERS), rng.choice((-1, 5)))


def _another_mark(text: str, rng: random.Random) -> str:
    return text.replace(*rng.choice(((".", ","), (",", "."), (":", "."), ("-", "/"), ("T", " "), ("+", "-"))))


def _other_line_ends(text: str, rng: random.Random) -> str:
    return text.replace("\n", rng.choice(LINE_ENDS), rng.choice((-1, 3)))


def _quoted(text: str, rng: random.Random) -> str:
    return _CELL.sub(lambda cell: f'"{cell.group()}"', text, count=rng.choice((0, 1, 7)))


def another_encoding(data: bytes, rng: random.Random) -> bytes:
    """Write a text in another encoding."""
    return data.decode("utf-8", "replace").encode(rng.choice(ENCODINGS), "replace")


#: For any file, and more of them for tables.
BYTE_CHANGES: tuple[Change, ...] = (
    *(flip_bits, overwrite, cut_out, cut_off, repeat, insert_noise, swap_halves),
)
TEXT_CHANGES: tuple[Change, ...] = (
    *(_on_text(_odd_cell), _on_text(_odd_cell), _on_text(_odd_column), _on_text(_odd_column)),
    *(_on_text(_odd_lines), _on_text(_odd_lines), _on_text(_another_delimiter), _on_text(_another_mark)),
    *(_on_text(_other_line_ends), _on_text(_quoted), another_encoding),
)


def is_text(data: bytes) -> bool:
    """Tell whether a document was a table and not FIT."""
    return data[8:12] != b".FIT" and b"\0" not in data[:200]


def spoil(documents: Sequence[bytes], rng: random.Random) -> bytes:
    """Take one document and change it in one to four ways; sometimes put another one behind it."""
    data = rng.choice(documents)
    changes = (*BYTE_CHANGES, *TEXT_CHANGES, *TEXT_CHANGES) if is_text(data) else BYTE_CHANGES
    for _ in range(rng.choice((1, 1, 2, 4))):
        if data:
            data = rng.choice(changes)(data, rng)
    if rng.random() < 0.03:
        data += rng.choice(documents)
    return data
