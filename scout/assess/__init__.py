"""Records in, answers out: figures with what they assume, and "unknown, because" where a fact is
not measured.
"""
