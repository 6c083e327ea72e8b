"""Sillbook: scout rooms for a video shoot, choose between them, and brief the crew on paper."""

import os

# Read by numpy's linear algebra when it is first loaded. Our matrices are a few hundred rows
# across: a second thread gains little on
# one of them, and when several pages are worked out at once the threads wait for each other (a
# solve of 600 rows then took 400 ms, not 15).
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

__version__ = "0.1.0"
