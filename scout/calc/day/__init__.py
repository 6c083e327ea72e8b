"""The order and the times of a shoot's scenes: what a plan must keep, whether one does, and the
best that can be found.
"""
