"""A production's days: its setups, its plan, the hours and calls that follow from it."""
