"""Records and tables in plain memory, with named fields, for compiled functions.

A kernel reads and writes ``s.jobs[job].due`` or ``s.order[stringer, position]``.  What it holds is one
pointer: the search's own record, whose fields are numbers and the places of its tables.  Numba's arrays
would be handed on field by field at every call and tried for negative indices, and a tuple of fifteen
of them be copied; that took half the time.  All of this uses numba's documented extension interface.
"""

import hashlib
import operator
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any, Protocol, TypeVar, cast, get_args, get_origin, get_type_hints

import numba
import numpy as np
from llvmlite import ir
from numba import types
from numba.core import cgutils
from numba.core.options import DefaultOptions
from numba.core.typing.templates import AttributeTemplate
from numba.extending import (
    infer_getattr,
    intrinsic,
    lower_builtin,
    lower_getattr_generic,
    lower_setattr_generic,
    models,
    overload,
    register_model,
    type_callable,
)
from numpy.typing import NDArray

Ints = NDArray[np.int64]
T = TypeVar("T")
F = TypeVar("F", bound=Callable[..., Any])
HERE = Path(__file__).parent
OPTIONS: dict[str, Any] = {"error_model": "numpy"}


class Table(Protocol[T]):
    """Rows of numbers or records: ``table[row]``, or ``table[row, column]`` where it is wide."""

    def __getitem__(self, at: int | tuple[int, int]) -> T:
        """Give a number, or a record whose fields can be set."""

    def __setitem__(self, at: int | tuple[int, int], value: T) -> None:
        """Set a number."""


UNCOUNTED: dict[str, Any] = {**OPTIONS, "_nrt": False}
"""Options for kernels that are given arrays: without numba's reference counts, which take most of the time.

The name is numba's own and not documented: so numba is pinned, and one without it is refused here.
"""
if not hasattr(DefaultOptions, "_nrt"):
    raise ImportError(f"numba {numba.__version__} has no option _nrt: the bound would take twelve times as long.")


def compiled(function: F, options: dict[str, Any] = OPTIONS) -> F:
    """Let kernels call a function: it is compiled once, for whole numbers whether constant or not."""

    @overload(function, jit_options={**options, "no_cfunc_wrapper": True}, strict=False)  # type: ignore[untyped-decorator]
    def _chosen(*_args: Any) -> F:
        return function

    return function


def inlined(function: F) -> F:
    """Write a function that is called in one place into its caller: each one compiled apart is optimised anew there."""
    return cast(F, numba.njit(function, inline="always", **OPTIONS))


def digest_of(*folders: Path) -> int:
    """Give a number that changes with any module of these packages.

    Numba notices a change of the file of a cached entry but not of the modules that it calls: with this
    number among its constants it is another entry.
    """
    texts = (path.read_bytes() for folder in folders for path in sorted(folder.glob("*.py")))
    return int.from_bytes(hashlib.sha256(b"".join(texts)).digest()[:7], "big")


@cache
def record_dtype(record: type) -> np.dtype[Any]:
    """Give the layout of a record as numpy sees it; every field is a whole number."""
    return np.dtype([(name, np.int64) for name in get_type_hints(record)])


@cache
def cell_dtype(record: type, table: str) -> np.dtype[Any]:
    """Give the layout of a row of one of a record's tables, or of a whole number."""
    (cell,) = get_args(get_type_hints(record)[table])
    return np.dtype(np.int64) if cell is int else record_dtype(cell)


@cache
def words(record: type) -> dict[str, tuple[int, bool]]:
    """Give the place of each field in 64-bit words, and whether it is a table: its address and its width."""
    out, at = {}, 0
    for name, hint in get_type_hints(record).items():
        out[name] = at, get_origin(hint) is Table
        at += 2 if get_origin(hint) is Table else 1
    return out


class RecordType(types.Type):  # type: ignore[misc]
    """A pointer to a record."""

    def __init__(self, record: type) -> None:
        self.fields = {name: (at, _type_of(record, name)) for name, (at, _) in words(record).items()}
        self.size = max(at + (2 if isinstance(kind, TableType) else 1) for at, kind in self.fields.values())
        super().__init__(name=record.__name__)


class TableType(types.Type):  # type: ignore[misc]
    """A pointer to the first row of a table, and its columns."""

    def __init__(self, cell: Any) -> None:
        self.cell = cell
        super().__init__(name=f"Table{cell}")


@cache
def type_of(record: type) -> RecordType:
    """Give the compiled type of a record."""
    return RecordType(record)


def _type_of(record: type, name: str) -> Any:
    hint = get_type_hints(record)[name]
    if get_origin(hint) is not Table:
        return types.int64
    (cell,) = get_args(hint)
    return TableType(types.int64 if cell is int else type_of(cell))


@register_model(RecordType)
class _RecordModel(models.PrimitiveModel):  # type: ignore[misc]
    def __init__(self, dmm: Any, record: RecordType) -> None:
        super().__init__(dmm, record, ir.IntType(64).as_pointer())


@register_model(TableType)
class _TableModel(models.StructModel):  # type: ignore[misc]
    def __init__(self, dmm: Any, table: TableType) -> None:
        super().__init__(dmm, table, [("cells", types.CPointer(types.int64)), ("width", types.int64)])


@infer_getattr
class _Fields(AttributeTemplate):  # type: ignore[misc]
    key = RecordType

    def generic_resolve(self, record: RecordType, name: str) -> Any:
        return record.fields[name][1] if name in record.fields else None


def _field(context: Any, builder: Any, record: RecordType, pointer: Any, name: str) -> Any:
    at, kind = record.fields[name]
    place = builder.gep(pointer, [ir.Constant(ir.IntType(64), at)])
    return builder.bitcast(place, context.get_data_type(kind).as_pointer())


@lower_getattr_generic(RecordType)  # type: ignore[untyped-decorator]
def _get_field(context: Any, builder: Any, record: RecordType, pointer: Any, name: str) -> Any:
    value = builder.load(_field(context, builder, record, pointer, name))
    if isinstance(record.fields[name][1], TableType):  # tables stay where they are
        value.set_metadata("invariant.load", builder.module.add_metadata([]))
    return value


@lower_setattr_generic(RecordType)  # type: ignore[untyped-decorator]
def _set_field(context: Any, builder: Any, signature: Any, arguments: Any, name: str) -> None:
    value = context.cast(builder, arguments[1], signature.args[1], types.int64)
    builder.store(value, _field(context, builder, signature.args[0], arguments[0], name))


@type_callable(operator.getitem)  # type: ignore[untyped-decorator]
def _type_get(_context: Any) -> Any:
    return lambda table, _at: table.cell if isinstance(table, TableType) else None


@type_callable(operator.setitem)  # type: ignore[untyped-decorator]
def _type_set(_context: Any) -> Any:
    return lambda table, _at, _value: types.none if isinstance(table, TableType) else None


def _cell(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:
    """Give the address of a cell."""
    table, at = signature.args[:2]
    its = cgutils.create_struct_proxy(table)(context, builder, value=arguments[0])
    if isinstance(at, types.BaseTuple):
        pair = zip(cgutils.unpack_tuple(builder, arguments[1], 2), at, strict=True)
        row, column = (context.cast(builder, value, kind, types.int64) for value, kind in pair)
        number = builder.add(builder.mul(row, its.width), column)
    else:
        number = context.cast(builder, arguments[1], at, types.int64)
    if isinstance(table.cell, RecordType):
        number = builder.mul(number, ir.Constant(ir.IntType(64), table.cell.size))
    return builder.gep(its.cells, [number])


def _get_cell(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:
    cell = _cell(context, builder, signature, arguments)
    return cell if isinstance(signature.args[0].cell, RecordType) else builder.load(cell)


def _set_cell(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:
    value = context.cast(builder, arguments[2], signature.args[2], types.int64)
    builder.store(value, _cell(context, builder, signature, arguments))
    return context.get_dummy_value()


for _at in (types.Integer, types.BaseTuple):
    lower_builtin(operator.getitem, TableType, _at)(_get_cell)
    lower_builtin(operator.setitem, TableType, _at, types.Any)(_set_cell)


def pointer_maker(record: type) -> Any:
    """Give a compiled function that turns an array of whole numbers into a pointer to the record in it."""

    def pointer(_typing: Any, array: Any) -> Any:
        def generate(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:
            return context.make_array(signature.args[0])(context, builder, arguments[0]).data

        return type_of(record)(array), generate

    return intrinsic(pointer)
