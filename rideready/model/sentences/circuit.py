"""Sentences about the circuit."""

CIRCUIT_SENTENCES: dict[str, str] = {}
