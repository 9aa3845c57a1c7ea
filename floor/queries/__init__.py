"""Use cases that read: rows -> domain objects -> page data."""
