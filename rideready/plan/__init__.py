"""From the opening window to weeks, from a week to its days, and to today; values in, values out."""
