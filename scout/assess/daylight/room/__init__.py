"""The room as daylight meets it: what is recorded, how surely, and what is taken where it is not."""
