"""One use case each, for every screen alike."""
