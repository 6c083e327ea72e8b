"""Read models: what a page or the packet needs, put together; nothing is written here."""
