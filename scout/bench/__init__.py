"""Speed as ratios against a named floor measured in the same run: a figure that means the same on
any machine.
"""
