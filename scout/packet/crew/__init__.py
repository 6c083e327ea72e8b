"""The pages a crew carries, in the order of the day."""
