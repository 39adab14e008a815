"""From the opening window to weeks, days and today."""
