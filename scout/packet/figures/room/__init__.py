"""A room's pages in the packet."""
