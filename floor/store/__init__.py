"""The shop's database: tables, migrations and how it is opened."""
