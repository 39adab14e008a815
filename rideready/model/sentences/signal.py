"""Sentences about the signal."""

SIGNAL_SENTENCES: dict[str, str] = {}
