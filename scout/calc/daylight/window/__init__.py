"""One opening: its glass and frame, the sky that is seen and the sun that falls through it."""
