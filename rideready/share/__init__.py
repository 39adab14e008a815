"""Files for the riding partner."""
