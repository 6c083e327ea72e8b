"""Drawings for screen and print from one code: shapes in millimetres of paper, rendered by `svg.py`
and `pdf.py`.
"""
