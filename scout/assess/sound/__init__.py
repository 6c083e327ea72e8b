"""Noise, reverberation and microphones."""
