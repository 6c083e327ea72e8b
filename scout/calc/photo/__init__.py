"""Lengths on a wall, off one photo of it."""
