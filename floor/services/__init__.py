"""Use cases that write: each owns its transaction."""
