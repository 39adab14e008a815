"""Sentences about the season."""

SEASON_SENTENCES: dict[str, str] = {}
