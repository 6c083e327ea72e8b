"""Questions put to the database, a module a subject; each loads what its caller will touch."""
