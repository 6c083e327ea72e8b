"""Daylight at the marks, with its doubt, and as it was read there."""
