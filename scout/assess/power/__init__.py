"""What hangs on which circuit, and which cable reaches it."""
