"""How every kernel is compiled.

Without the interpreter's lock, so that two searches run side by side, and without numba's reference
counts: no kernel makes an array, and counting references to a few long-lived ones took most of the time.
"""

from typing import Any

from numba import njit

OPTIONS: dict[str, Any] = {"nogil": True, "_nrt": False, "error_model": "numpy"}

compiled = njit(**OPTIONS)
