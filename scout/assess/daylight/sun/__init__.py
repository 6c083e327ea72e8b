"""Direct sun, indoors and out, on a date and through a year."""
