"""What lights a window: the sky, what stands against it, and the street."""
