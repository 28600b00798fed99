"""How every kernel is compiled.

Without the interpreter's lock, so that two searches run side by side, and without numba's reference
counts: no kernel makes an array, and counting references to a few long-lived ones took most of the time.
Kernels hand each other two pointers, to the cells and to the offsets: an array and a tuple would be
copied field by field at every call, which took half the time, and an array's index be tried for
being negative.
"""

from collections.abc import Callable
from typing import Any

import numba
import numba.extending

njit: Any = numba.njit
types: Any = numba.types
unliteral = types.unliteral
OPTIONS: dict[str, Any] = {"nogil": True, "_nrt": False, "error_model": "numpy"}


def compiled(function: Callable[..., Any]) -> Any:
    """Compile a kernel once for all whole numbers: numba would compile it anew for each constant."""
    dispatcher = njit(**OPTIONS, no_cpython_wrapper=True, no_cfunc_wrapper=True)(function)
    look_up = dispatcher.get_call_template

    def get_call_template(args: Any, kws: Any) -> Any:
        return look_up(tuple(unliteral(arg) for arg in args), kws)

    dispatcher.get_call_template = get_call_template
    return dispatcher


def _pointer_to(_typing: Any, array: Any) -> Any:
    """The address of an array's first number, which kernels index without further ado."""

    def generate(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:
        return context.make_array(signature.args[0])(context, builder, arguments[0]).data

    return types.CPointer(array.dtype)(array), generate


pointer_to: Any = numba.extending.intrinsic(_pointer_to)
