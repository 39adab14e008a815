"""Sentences about the trend."""

TREND_SENTENCES: dict[str, str] = {}
