"""Efforts, the recovery after each, and its trend."""
