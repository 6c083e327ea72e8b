"""Daylight of a room as its page and the packet show it: the day, the year, the floor, steady light."""
