"""From raw samples to a clean, even second-by-second signal."""
