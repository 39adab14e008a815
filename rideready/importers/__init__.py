"""Workout files to sessions."""
