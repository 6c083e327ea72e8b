"""Key, fill and back chosen together, and what their places cost."""
