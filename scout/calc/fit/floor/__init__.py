"""What a room leaves of its floor: what stands on it, doorways, and where a tape is laid."""
