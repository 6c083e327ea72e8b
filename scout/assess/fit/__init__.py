"""Framings, light positions and what else must fit into the room."""
