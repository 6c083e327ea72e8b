"""Containers taken apart by their bytes: what lies in a file, without decoding its picture."""
