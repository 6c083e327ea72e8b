"""Candidate rooms against what a scene needs."""
