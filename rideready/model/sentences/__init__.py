"""Sentence templates, one file a room."""
