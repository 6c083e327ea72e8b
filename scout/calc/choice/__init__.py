"""Whether a stated need fits a measured room, in numbers."""
