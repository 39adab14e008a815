"""What ``import rideready`` offers: all of it there, documented, and loaded only when used."""

import subprocess
import sys

import pytest

import rideready


def test_every_public_name_loads() -> None:
    assert sorted(rideready.__all__) == rideready.__all__
    for name in rideready.__all__:
        assert getattr(rideready, name).__name__ == name


def test_an_unknown_name_is_an_attribute_error() -> None:
    with pytest.raises(AttributeError, match="no attribute 'nope'"):
        _ = rideready.nope  # type: ignore[attr-defined]


def test_importing_the_package_loads_nothing_heavy() -> None:
    heavy = "{'numpy', 'pandas', 'scipy', 'plotly', 'dash', 'sqlalchemy'}"
    code = f"import sys, rideready; print(sorted({heavy} & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize("name", rideready.__all__)
def test_every_public_name_is_documented(name: str) -> None:
    text = getattr(rideready, name).__doc__ or ""
    assert "Parameters\n" in text, f"{name} does not describe its parameters"
