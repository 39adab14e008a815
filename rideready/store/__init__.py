"""Sessions, recoveries and plans on disk."""
