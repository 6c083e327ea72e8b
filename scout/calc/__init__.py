"""Formulas by capability: arrays in, arrays out; no records, no clock, no environment."""
