"""Cut the unreadable stretches out of a damaged FIT body, so that a library can read what is left.

A FIT file has no marks to fall into step by: after a damaged stretch a reader takes values for headers and
is lost. Here the messages are walked by length only, and where they stop making sense the next place is
sought from which several messages in a row do, with times near the last one. The values are none of this
module's business.
"""

from dataclasses import dataclass
from typing import Final

#: Sizes of the base types of the protocol by their code.
_SIZES: Final = {
    **dict.fromkeys((0x00, 0x01, 0x02, 0x07, 0x0A, 0x0D), 1),
    **dict.fromkeys((0x83, 0x84, 0x8B), 2),
    **dict.fromkeys((0x85, 0x86, 0x88, 0x8C), 4),
    **dict.fromkeys((0x89, 0x8E, 0x8F, 0x90), 8),
}
_TIMESTAMP: Final = 253
_UINT32: Final = 0x86
_FILE_ID: Final = 0
#: How many messages must make sense in a row for the reader to count as back in step, two of them with a time.
_IN_STEP: Final = 5
#: A time this far from the last one makes no sense, s.
_FAR_S: Final = 86_400
#: Damage longer than this is not searched across, bytes: some 1 to 4 h of records.
_FARTHEST: Final = 1 << 18
_MOST_CUTS: Final = 32
#: How many messages before the place where sense ends the damage may have begun.
_LOOK_BACK: Final = 8


@dataclass(frozen=True, slots=True)
class _Shape:
    """Length of a message after its header byte, and where in it the time stands (-1: nowhere)."""

    size: int
    stamp_at: int
    order: str


@dataclass(frozen=True, slots=True)
class _Place:
    """A boundary between messages, and what is known there."""

    offset: int
    shapes: dict[int, _Shape]
    stamp: int | None


def mend(body: bytes) -> bytes:
    """Return a FIT body without its unreadable stretches; the body itself if none was found.

    Parameters
    ----------
    body
        Definition and data messages of one FIT file.
    """
    kept: list[bytes] = []
    place = _Place(0, {}, None)
    for _ in range(_MOST_CUTS):
        trail = _walk(body, place)
        if trail[-1].offset >= len(body):
            return b"".join([*kept, body[place.offset :]]) if kept else body
        found = _resume(body, trail)
        if found is None:
            return b"".join([*kept, body[place.offset : trail[-1].offset]])
        left, again = found
        kept.append(body[place.offset : left.offset])
        place = again
    return b"".join(kept)


def _walk(body: bytes, place: _Place) -> list[_Place]:
    """Go on from a boundary as long as it makes sense; return the last boundaries passed."""
    trail = [place]
    while place.offset < len(body):
        following = _step(body, place)
        if following is None:
            break
        place = following
        trail.append(place)
        if len(trail) > 4 * _LOOK_BACK:
            del trail[: -_LOOK_BACK - 1]
    return trail[-_LOOK_BACK - 1 :]


def _resume(body: bytes, trail: list[_Place]) -> tuple[_Place, _Place] | None:
    """Find the smallest cut after which messages make sense again: the boundaries before and behind it."""
    last = trail[-1]
    for offset in range(trail[0].offset + 1, min(len(body), last.offset + _FARTHEST)):
        for left in reversed(trail):
            if left.offset < offset:
                again = _Place(offset, left.shapes, left.stamp)
                if _is_in_step(body, again, beyond=last.offset):
                    return left, again
                break
    return None


def _is_in_step(body: bytes, place: _Place, *, beyond: int) -> bool:
    """Whether several messages in a row make sense, the last of them beyond the damage."""
    steps = stamps = 0
    while place.offset < len(body) and (steps < _IN_STEP or place.offset <= beyond):
        before = place.stamp
        following = _step(body, place)
        if following is None:
            return False
        steps += 1
        stamps += following.stamp is not None and following.stamp != before
        place = following
    return stamps >= 2


def _step(body: bytes, place: _Place) -> _Place | None:
    """Pass one message; None if it makes no sense."""
    header = body[place.offset]
    if header & 0x80 == 0 and header & 0x40:
        return _step_over_definition(body, place)
    local = header >> 5 & 3 if header & 0x80 else header & 0x0F
    shape = place.shapes.get(local)
    if shape is None or place.offset + 1 + shape.size > len(body) or (header & 0x90) == 0x10:
        return None
    stamp = place.stamp
    if shape.stamp_at >= 0:
        at = place.offset + 1 + shape.stamp_at
        raw = int.from_bytes(body[at : at + 4], "big" if shape.order == "big" else "little")
        if raw != 0xFFFFFFFF:
            if stamp is not None and abs(raw - stamp) > _FAR_S:
                return None
            stamp = raw
    return _Place(place.offset + 1 + shape.size, place.shapes, stamp)


def _step_over_definition(body: bytes, place: _Place) -> _Place | None:
    at = place.offset
    head = body[at : at + 6]
    if len(head) < 6 or head[1] != 0 or head[2] > 1 or head[0] & 0x10:
        return None
    order = "big" if head[2] else "little"
    number = int.from_bytes(head[3:5], "big" if head[2] else "little")
    fields = body[at + 6 : at + 6 + 3 * head[5]]
    end = at + 6 + 3 * head[5]
    size, stamp_at = 0, -1
    for code, length, base in zip(fields[::3], fields[1::3], fields[2::3], strict=False):
        if base not in _SIZES or length == 0:
            return None
        # The time in file_id is of another sort, and other kinds of time stand far apart by right.
        if code == _TIMESTAMP and base == _UINT32 and length == 4 and number != _FILE_ID:
            stamp_at = size
        size += length
    if head[0] & 0x20:
        count = body[end] if end < len(body) else 0
        developer = body[end + 1 : end + 1 + 3 * count]
        size += sum(developer[1::3])
        end += 1 + 3 * count
    if end > len(body) or len(fields) < 3 * head[5]:
        return None
    shapes = {**place.shapes, head[0] & 0x0F: _Shape(size, stamp_at, order)}
    return _Place(end, shapes, place.stamp)
