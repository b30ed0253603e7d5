"""Settings that all tests share."""

import os

# As the command does: threads on matrices of 30 x 30 only wait for each other.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
