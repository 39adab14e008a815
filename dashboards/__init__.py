"""The dashboard in the browser."""
