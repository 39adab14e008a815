"""Whatever the bytes: a session, or one sentence."""

import tempfile
from pathlib import Path

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from rideready.errors import RidereadyError
from rideready.importers.registry import read_sessions, shape_of
from rideready.model.session import Session
from tests.support.fit_bytes import FitBytes, Value, workout

ROWS: list[list[Value]] = [[second, 120 + second % 9, 200 + second % 7] for second in range(60)]


def _valid_fit() -> bytes:
    fit: FitBytes = workout(ROWS, ("timestamp", "heart_rate", "power"), events=[(0, 0), (30, 4), (35, 0)])
    fit.define(5, "developer_data_id", ["developer_data_index"]).add(5, 0)
    fit.define(
        6, "field_description", ["developer_data_index", "field_definition_number", "fit_base_type_id"]
    )
    fit.add(6, 0, 1, 0x84)
    fit.define(7, "record", ["timestamp", "heart_rate"], developer=[(1, 0, "uint16")])
    return fit.build() + workout(ROWS[:20], ("timestamp", "heart_rate", "power")).build()


FIT = _valid_fit()
TABLE = (
    "Sport;Run\nDate;2026-09-12\n\nTime;Puls;Speed (km/h);Distance (km)\n"
    + "\n".join(f"0:{n // 60:02d}:{n % 60:02d};{120 + n % 9};{10 + n % 3},5;{n},25" for n in range(70))
).encode()


def _check(data: bytes) -> None:
    """Read bytes as a file; anything but a session or a sentence fails the test."""
    sessions: list[Session] = []
    sentence = ""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "ride"
        path.write_bytes(data)
        try:
            shape_of(path)
            sessions = read_sessions(path)
        except RidereadyError as fault:
            sentence = str(fault)
    assert bool(sessions) != bool(sentence)
    assert not sentence or (sentence.endswith(".") and "\n" not in sentence)
    for session in sessions:
        assert isinstance(session, Session)
        assert session.t_s.size > 0
        assert np.isfinite(session.t_s).all()
        assert all(not np.isinf(values).any() for values in session.channels.values())


def _mutated(valid: bytes) -> st.SearchStrategy[bytes]:
    """Overwrite, cut out and insert stretches, then perhaps cut the end off."""
    spot = st.integers(0, len(valid) - 1)
    change = st.tuples(spot, st.integers(0, 40), st.binary(max_size=40))

    def apply(changes: list[tuple[int, int, bytes]], end: int) -> bytes:
        data = valid
        for start, n_out, inserted in changes:
            data = data[:start] + inserted + data[start + n_out :]
        return data[:end]

    return st.builds(apply, st.lists(change, min_size=1, max_size=4), st.integers(1, len(valid) + 100))


@settings(max_examples=100, deadline=None, derandomize=True)
@given(st.binary(max_size=600))
def test_random_bytes_give_a_session_or_a_sentence(data: bytes) -> None:
    _check(data)


@settings(max_examples=100, deadline=None, derandomize=True)
@given(st.binary(max_size=400))
def test_random_bytes_behind_a_fit_header_give_a_session_or_a_sentence(body: bytes) -> None:
    _check(b"\x0e\x10\x43\x08" + len(body).to_bytes(4, "little") + b".FIT\x00\x00" + body + b"\x00\x00")


@settings(max_examples=150, deadline=None, derandomize=True)
@given(_mutated(FIT))
def test_a_spoilt_fit_file_gives_a_session_or_a_sentence(data: bytes) -> None:
    _check(data)


@settings(max_examples=100, deadline=None, derandomize=True)
@given(_mutated(TABLE))
def test_a_spoilt_table_gives_a_session_or_a_sentence(data: bytes) -> None:
    _check(data)


CELLS = st.sampled_from(
    [
        "0",
        "1",
        "2",
        "120",
        "121",
        "1,5",
        "1.5",
        "1,234",
        "0:00:01",
        "12:30",
        "2026-09-12",
        "03/04/2026",
        "99/99/2026",
        "2026-09-12T07:30:00Z",
        "1789198200",
        "--",
        "",
        "NaN",
        "inf",
        "1e400",
        "999999999999999999999999999999",
        "0001-01-01T00:00:00+14:00",
        "9999-12-31T23:59:59-12:00",
        "°",
        "x y",
        "-5",
        "25:61:61",
        "12:30 PM",
        "13:30 PM",
        "00:00 AM",
        "",
        "\u0661\u0662",
    ]
)
HEADINGS = st.sampled_from(
    [
        "time",
        "Date",
        "Time",
        "Uhrzeit",
        "elapsed (ms)",
        "hr",
        "Puls A",
        "speed",
        "Tempo",
        "distance",
        "id",
        "sport",
        "",
        "Temp (°F)",
    ]
)


@settings(max_examples=200, deadline=None, derandomize=True)
@given(
    st.lists(HEADINGS, min_size=2, max_size=5),
    st.lists(st.lists(CELLS, min_size=1, max_size=6), min_size=1, max_size=12),
    st.sampled_from([",", ";", "\t"]),
)
def test_a_table_of_odd_cells_gives_a_session_or_a_sentence(
    headings: list[str], rows: list[list[str]], delimiter: str
) -> None:
    _check("\n".join(delimiter.join(row) for row in [headings, *rows]).encode())
