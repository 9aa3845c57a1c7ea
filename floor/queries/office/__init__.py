"""What the supervisor's pages show: rows of the database, read into page data, one module a subject."""
