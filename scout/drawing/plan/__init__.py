"""The plan of a room, its sheets and its editor."""
