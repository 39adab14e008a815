"""Sentences about the recovery."""

RECOVERY_SENTENCES: dict[str, str] = {}
