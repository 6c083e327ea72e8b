"""Sillbook: scout rooms for a video shoot, choose between them, and brief the crew on paper."""

__version__ = "0.1.0"
