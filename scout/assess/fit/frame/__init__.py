"""What the lens has in its frame: framings, the background, mirrors, and what is low."""
