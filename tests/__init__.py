"""The tests, laid out as `scout/` is."""
