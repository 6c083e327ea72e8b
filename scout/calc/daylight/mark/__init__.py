"""Light at a mark in a room, straight and by way of every surface."""
