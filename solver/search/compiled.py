"""How every kernel is compiled.

Without the interpreter's lock, so that two searches run side by side, and without numba's reference
counts: no kernel makes an array, and counting references to a few long-lived ones took most of the time.
"""

from collections.abc import Callable
from typing import Any

import numba

njit: Any = numba.njit
unliteral: Any = numba.types.unliteral
OPTIONS: dict[str, Any] = {"nogil": True, "_nrt": False, "error_model": "numpy"}


def compiled(function: Callable[..., Any]) -> Any:
    """Compile a kernel once for all whole numbers: numba would compile it anew for each constant."""
    dispatcher = njit(**OPTIONS, no_cpython_wrapper=True, no_cfunc_wrapper=True)(function)
    look_up = dispatcher.get_call_template

    def get_call_template(args: Any, kws: Any) -> Any:
        return look_up(tuple(unliteral(arg) for arg in args), kws)

    dispatcher.get_call_template = get_call_template
    return dispatcher
