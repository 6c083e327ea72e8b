"""Where the lights stand, what they throw, and other ways to light the face."""
