"""Clinical arithmetic: exact, pure, without state, files or time of day."""
