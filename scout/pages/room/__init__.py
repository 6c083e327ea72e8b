"""One room's pages: bounced light, sound, its plan for a scene and how scenes stage it."""
