"""Cut the unreadable stretches out of a damaged FIT body, so that a library can read what is left.

A FIT file has no marks to fall into step by: after a damaged stretch a reader takes values for headers and
is lost. Here the messages are walked by length only, and where they stop making sense the next place is
sought from which several messages in a row do, with times near the last one. The values are none of this
module's business.
"""

from collections import deque
from collections.abc import Callable
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
#: Definitions and messages without a time may come before the two; this many messages are looked at.
_MOST_STEPS: Final = 60
#: A time this far from the last one makes no sense, s.
_FAR_S: Final = 86_400
#: Damage longer than this is not searched across, bytes: some 1 to 4 h of records.
_FARTHEST: Final = 1 << 18
_MOST_CUTS: Final = 32
#: How many boundaries before the place where sense ends are tried as the begin of the damage.
_LOOK_BACK: Final = 9


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


def mends(body: bytes) -> tuple[bytes, ...]:
    """Return a FIT body without its unreadable stretches, in the ways worth trying; none if it makes sense.

    Parameters
    ----------
    body
        Definition and data messages of one FIT file.

    Returns
    -------
    tuple of bytes
        Cut from the last message that made sense, and cut from the last one that told a time: damage may pass
        for a message without one, but before the first record no message tells any.
    """
    ways = (_mended(body, _Trail.all_places), _mended(body, _Trail.timed_places))
    return tuple(dict.fromkeys(way for way in ways if len(way) < len(body)))


@dataclass(frozen=True, slots=True)
class _Trail:
    """The last boundaries passed, and the last ones behind a message that told a time."""

    last: deque[_Place]
    timed: deque[_Place]

    @property
    def end(self) -> _Place:
        """Where sense ends."""
        return self.last[-1]

    def all_places(self) -> list[_Place]:
        """Return all boundaries by offset."""
        by_offset = {place.offset: place for place in (*self.timed, *self.last)}
        return [by_offset[offset] for offset in sorted(by_offset)]

    def timed_places(self) -> list[_Place]:
        """Return the boundaries behind a message that told a time."""
        return list(self.timed)


def _mended(body: bytes, candidates: Callable[[_Trail], list[_Place]]) -> bytes:
    kept: list[bytes] = []
    place = _Place(0, {}, None)
    for _ in range(_MOST_CUTS):
        trail = _walk(body, place)
        if trail.end.offset >= len(body):
            kept.append(body[place.offset :])
            break
        found = _resume(body, candidates(trail), trail.end.offset)
        if found is None:
            kept.append(body[place.offset : trail.end.offset])
            break
        left, again = found
        kept.append(body[place.offset : left.offset])
        place = again
    return b"".join(kept)


def _walk(body: bytes, place: _Place) -> _Trail:
    """Go on from a boundary as long as it makes sense."""
    trail = _Trail(deque([place], maxlen=_LOOK_BACK), deque([place], maxlen=_LOOK_BACK))
    while place.offset < len(body):
        following = _step(body, place)
        if following is None:
            break
        trail.last.append(following)
        if following.stamp != place.stamp:
            trail.timed.append(following)
        place = following
    return trail


def _resume(body: bytes, places: list[_Place], end: int) -> tuple[_Place, _Place] | None:
    """Find the first offset from which messages make sense again: the boundaries before and behind the cut."""
    for offset in range(places[0].offset + 1, min(len(body), end + _FARTHEST)):
        tried: list[dict[int, _Shape]] = []
        for left in reversed(places):
            # Definitions that were read out of damage do not hold; those known before it may.
            if left.offset < offset and not any(left.shapes is shapes for shapes in tried):
                again = _Place(offset, left.shapes, left.stamp)
                if _is_in_step(body, again, beyond=end):
                    return left, again
                tried.append(left.shapes)
    return None


def _is_in_step(body: bytes, place: _Place, *, beyond: int) -> bool:
    """Whether several messages in a row make sense, the last of them beyond the damage."""
    stamps = 0
    for n_steps in range(_MOST_STEPS):
        is_proven = stamps >= 2 and n_steps >= _IN_STEP and place.offset > beyond
        if is_proven or place.offset >= len(body):
            break
        following = _step(body, place)
        if following is None:
            return False
        if n_steps == 0 and following.stamp == place.stamp and following.shapes is place.shapes:
            return False  # a first message without a time could be made of anything
        stamps += following.stamp is not None and following.stamp != place.stamp
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
