"""Sound of a room: levels and weightings, noise criterion, reverberation, speech at a microphone."""
