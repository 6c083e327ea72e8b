"""A location's coordinates, clocks and day, and which way its rooms face."""
