"""Everything of the joint dossier that is not user interface.

Linear algebra runs on one thread: the systems solved here are small, and threads that wait for each other made a radial
curve take twice as long. Libraries read the number when they are loaded, so it is set before any module that loads them;
what a user has set stays.
"""

import os

for _variable in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_variable, "1")
