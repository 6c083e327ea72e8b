"""Charts on the 24-hour ruler, over the year and of sound."""
