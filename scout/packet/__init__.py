"""The crew's packet: one PDF, from content that is already worked out."""
