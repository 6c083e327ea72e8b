"""The light on the face: how strong, how steady, and the exposure to start from."""
