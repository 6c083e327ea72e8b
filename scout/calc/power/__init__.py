"""Mains power on location: amperes, limits, volt drop, cable runs, and which light plugs in where."""
