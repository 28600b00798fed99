"""How the kernels of the rehearsal are compiled: without the interpreter's lock, and without counting references.

What is allocated is allocated in the one entry. Counting the references of the arrays that functions hand on would take
ten times as long as the work itself; a numba that does not know the option counts them, and is only slower.
"""

from typing import Any

import numba
from numba.core.options import DefaultOptions

njit: Any = numba.njit
OPTIONS: dict[str, Any] = {"nogil": True, "error_model": "numpy"}
UNCOUNTED: dict[str, Any] = {"_nrt": False} if hasattr(DefaultOptions, "_nrt") else {}
compiled: Any = njit(**OPTIONS, **UNCOUNTED)
