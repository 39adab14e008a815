"""Samples come back from their bytes to the last bit."""

import struct

import hypothesis.extra.numpy as npst
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rideready.errors import StoreProblem
from rideready.model.session import CHANNELS, FloatArray
from rideready.store.blobs import pack, unpack

#: Any 64 bits: every NaN, both zeros, infinities and subnormal numbers included.
any_bits = npst.arrays(np.uint64, st.integers(0, 40)).map(lambda bits: bits.view(np.float64))
#: What recorders write: whole numbers and up to three decimals, with holes.
recorded = st.lists(
    st.one_of(st.just(float("nan")), st.integers(-50_000, 50_000).map(lambda n: n / 10 ** (abs(n) % 4))),
    max_size=40,
).map(lambda values: np.array(values, dtype=float))


def same_bits(found: FloatArray, expected: FloatArray) -> bool:
    return found.tobytes() == expected.tobytes()


@settings(max_examples=300, deadline=None)
@given(st.one_of(any_bits, recorded), st.sampled_from(CHANNELS))
def test_any_column_comes_back_bit_for_bit(values: FloatArray, name: str) -> None:
    found = unpack(pack({name: values}))
    assert list(found) == [name]
    assert same_bits(found[name], values)


@settings(max_examples=50, deadline=None)
@given(st.data())
def test_columns_do_not_run_into_each_other(data: st.DataObject) -> None:
    n = data.draw(st.integers(0, 30))
    columns = {
        name: data.draw(npst.arrays(np.float64, n, elements=st.floats(width=64)))
        for name in ("t_s", *CHANNELS)
    }
    found = unpack(pack(columns))
    assert list(found) == ["t_s", *CHANNELS]
    assert all(same_bits(found[name], columns[name]) for name in columns)


def test_what_comes_back_can_be_written_to() -> None:
    found = unpack(pack({"t_s": np.arange(3.0), "hr_bpm": np.array([0.1, 1 / 3, np.nan])}))
    assert all(values.flags.writeable and values.dtype == np.float64 for values in found.values())


def test_5000_samples_of_eight_whole_number_channels_take_under_25_kb() -> None:
    # Bound: what this layout took on 2,000 invented sessions when layouts were compared before the
    # store was built; zlib alone took 48 kB. Walks of -1, 0, 1 take about 12 kB.
    rng = np.random.default_rng(5)
    walks = {name: np.cumsum(rng.integers(-1, 2, 5000)).astype(float) for name in CHANNELS}
    data = pack({"t_s": np.arange(5000.0), **walks})
    assert len(data) < 25_000


@pytest.mark.parametrize("cut", [1, 2, 30, -1])
def test_damaged_samples_are_named_as_such(cut: int) -> None:
    data = pack({"t_s": np.arange(100.0), "hr_bpm": np.full(100, 120.0)})
    with pytest.raises(StoreProblem, match="samples are damaged"):
        unpack(data[:cut])


def test_a_head_that_promises_more_than_there_is_is_damage() -> None:
    import zlib

    head = b'{"n": 9, "columns": [["t_s", 1]]}'
    data = b"\x01" + zlib.compress(struct.pack("<I", len(head)) + head)
    with pytest.raises(StoreProblem, match="samples are damaged"):
        unpack(data)


@pytest.mark.parametrize(("data", "named"), [(b"\x02abc", "format 2"), (b"", "format none")])
def test_an_unknown_format_is_refused_in_one_sentence(data: bytes, named: str) -> None:
    with pytest.raises(StoreProblem, match=named):
        unpack(data)
