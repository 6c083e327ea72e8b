"""Forms: what a person types, kept exactly as typed until it can be read, and the refusals beside
it.
"""
