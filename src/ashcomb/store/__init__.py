"""The append-only record store: the only place with SQL."""
