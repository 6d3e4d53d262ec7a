"""From records to advice; the rooms are listed in DEVELOPERS.md."""

import os

# Estimates are many small sums: threads of the linear algebra library cost up to ten times what they save.
# Numpy reads this once, when it is loaded.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
