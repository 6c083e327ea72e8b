"""Light from lamps and mirrors: photometry, exposure, flicker, reflectors and what a moving subject
meets.
"""
