"""Photos: bytes in, facts and upright pictures out."""
