"""Recordings: bytes in, a stream of samples out."""
