"""The trade: pure functions and frozen values. No Flask, no SQL, no clock, no files."""
