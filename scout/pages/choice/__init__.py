"""Which room for which scene: candidates side by side, scenes a room would serve, rooms found."""
