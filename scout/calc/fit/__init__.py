"""Does it fit: lenses against the room, what the frame holds, and where three lights can stand
without being seen.
"""
