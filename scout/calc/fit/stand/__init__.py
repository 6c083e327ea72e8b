"""A light on its stand: its shape against floor and frame, and every reason against a place."""
