"""Where the sun stands and what it does on a date."""
