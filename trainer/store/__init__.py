"""The append-only record; the only place that knows the database."""
