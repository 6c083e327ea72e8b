"""Rows and files: what is kept, how it is found again, and how rows become records."""
