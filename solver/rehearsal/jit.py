"""How the kernels of the rehearsal are compiled: without the interpreter's lock."""

from typing import Any

import numba

njit: Any = numba.njit
OPTIONS: dict[str, Any] = {"nogil": True, "error_model": "numpy"}
compiled: Any = njit(**OPTIONS)
