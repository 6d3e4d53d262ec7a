"""From records to advice; the rooms are listed in DEVELOPERS.md."""

import os

# Estimates are many small sums: threads of the linear algebra library cost up to ten times what they save.
# Numpy reads this once, when it is loaded.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

# What one part of a large file was read into is kept for the next instead of being asked for anew, a tenth of intake's processor.
# The system may still take it back when it is short of memory. Polars reads this once, when it is loaded.
os.environ.setdefault("_RJEM_MALLOC_CONF", "muzzy_decay_ms:-1")
