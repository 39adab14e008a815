"""Table to figure."""
