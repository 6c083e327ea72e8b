"""The sun and the sky: where the sun stands, what happens on a date, when it enters a window, how
much light it brings.
"""
