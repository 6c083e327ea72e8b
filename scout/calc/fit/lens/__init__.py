"""What a lens sees: frames and framings, what stands behind, and through which door."""
