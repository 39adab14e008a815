"""Value to component."""
