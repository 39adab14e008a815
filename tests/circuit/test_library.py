"""Linking variants."""

from dataclasses import replace

import pytest

from rideready.circuit.library import BY_NAME, with_harder_variants

PUSH_UP = replace(BY_NAME["Push-up"], easier=None, harder=())


def test_harder_variants_are_filled_in_from_the_easier_ones() -> None:
    dive = replace(PUSH_UP, name="Dive", easier="Push-up")
    clap = replace(PUSH_UP, name="Clap", easier="Push-up")
    linked = with_harder_variants([dive, PUSH_UP, clap])
    assert [e.harder for e in linked] == [(), ("Dive", "Clap"), ()]


def test_a_name_that_occurs_twice_is_refused() -> None:
    with pytest.raises(ValueError, match="twice: Push-up"):
        with_harder_variants([PUSH_UP, PUSH_UP])


def test_an_easier_variant_that_is_not_there_is_refused() -> None:
    with pytest.raises(ValueError, match="not in the list: Push-up"):
        with_harder_variants([replace(PUSH_UP, easier="Nothing")])
