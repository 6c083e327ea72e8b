"""What editions of the packet are composed of, and their printing."""
