"""Reading the fields of one JSON object with their kind, range and path."""

from collections.abc import Iterator, Mapping
from typing import Any

from solver.contract.workload import Span

Faults = list[str]
FURTHEST_MINUTE = 1_000_000_000
_MISSING: Any = object()


class Fields:
    """The fields of one object: each is taken once, what is left over is a fault."""

    def __init__(self, data: Any, path: str, faults: Faults) -> None:
        self.path, self.faults = path, faults
        self.is_object = isinstance(data, Mapping)
        self.has_faults = False
        self._data: Mapping[Any, Any] = data if self.is_object else {}
        self._taken: set[Any] = set()
        if not self.is_object:
            where = path or "workload"
            self._report(f"{where}: must be an object with named fields, not {shown(data)}.")

    def at(self, key: Any) -> str:
        """Give the path of a field."""
        return f"{self.path}.{key}" if self.path else str(key)

    def fault(self, key: str, message: str) -> None:
        """Report a fault at a field."""
        self._report(f"{self.at(key)}: {message}")

    def names(self) -> list[str]:
        """Give the names of all fields that are text, for an object whose names are data."""
        return [key for key in self._data if isinstance(key, str)]

    def take(self, key: str, *, default: Any = _MISSING) -> Any:
        """Give a raw field; a missing one without default is a fault."""
        self._taken.add(key)
        if key in self._data and not (self._data[key] is None and default is None):
            return self._data[key]
        if default is _MISSING and self.is_object:
            self.fault(key, "is missing.")
        return default

    def whole(
        self, key: str, *, default: Any = _MISSING, least: int = -FURTHEST_MINUTE, most: int = FURTHEST_MINUTE
    ) -> int | None:
        """Give a whole number in ``[least, most]``."""
        value = self.take(key, default=default)
        if value is default or value is _MISSING:
            return None if value is _MISSING else value
        if (number := whole_number(value)) is None:
            self.fault(key, f"must be a whole number, not {shown(value)}.")
        elif not least <= number <= most:
            self.fault(key, f"must be from {least} to {most}, not {shown(number)}.")
        else:
            return number
        return None

    def text(self, key: str, *, default: Any = _MISSING, may_be_empty: bool = False) -> str | None:
        """Give a text that is not empty."""
        value = self.take(key, default=default)
        if value is default or value is _MISSING:
            return None if value is _MISSING else value
        if not isinstance(value, str):
            self.fault(key, f"must be a text, not {shown(value)}.")
        elif not value and not may_be_empty:
            self.fault(key, "must not be empty.")
        else:
            return value
        return None

    def entries(self, key: str) -> Iterator["Fields"]:
        """Give the objects of a list, each with its path."""
        value = self.take(key)
        if value is _MISSING:
            return
        if not isinstance(value, (list, tuple)):
            self.fault(key, f"must be a list, not {shown(value)}.")
            return
        for i, item in enumerate(value):
            entry = Fields(item, f"{self.at(key)}[{i}]", self.faults)
            if entry.is_object:
                yield entry

    def refuse_the_rest(self) -> None:
        """Report every field that nobody took."""
        for key in self._data:
            if key not in self._taken:
                known = ", ".join(sorted(self._taken))
                self.fault(str(key), f"is no field here; known are {known}.")

    def _report(self, message: str) -> None:
        self.has_faults = True
        self.faults.append(message)


def list_of_ids(fields: Fields, key: str) -> tuple[str, ...] | None:
    """Give a list of ids, or None where it is absent."""
    value = fields.take(key, default=None)
    if value is None:
        return None
    if not isinstance(value, (list, tuple)):
        fields.fault(key, f"must be a list of ids, not {shown(value)}.")
        return None
    for i, item in enumerate(value):
        if not isinstance(item, str) or not item:
            fields.fault(f"{key}[{i}]", f"must be an id (a text), not {shown(item)}.")
    return tuple(item for item in value if isinstance(item, str))


def windows_of(fields: Fields, key: str, *, required: bool = False) -> tuple[Span, ...] | None:
    """Give a list of windows ``[from, to)``, or None where it is absent."""
    value = fields.take(key) if required else fields.take(key, default=None)
    if value is None or value is _MISSING:
        if value is None and required:
            fields.fault(key, "must be a list of windows such as [[480, 720]], not null.")
        return None
    if not isinstance(value, (list, tuple)):
        fields.fault(key, f"must be a list of windows such as [[480, 720]], not {shown(value)}.")
        return None
    spans = [_window(fields, f"{key}[{i}]", item) for i, item in enumerate(value)]
    return tuple(sorted(span for span in spans if span is not None))


def _window(fields: Fields, key: str, value: Any) -> Span | None:
    pair = [whole_number(v) for v in value] if isinstance(value, (list, tuple)) else []
    if len(pair) != 2 or pair[0] is None or pair[1] is None:
        fields.fault(key, f"must be two whole minutes [from, to], not {shown(value)}.")
        return None
    start, end = pair[0], pair[1]
    if max(abs(start), abs(end)) > FURTHEST_MINUTE:
        fields.fault(key, f"lies past minute {FURTHEST_MINUTE}.")
    elif end <= start:
        fields.fault(key, f"ends at {end}, not after its start at {start}.")
    else:
        return start, end
    return None


def whole_number(value: Any) -> int | None:
    """Give `value` when it is a whole number (true and false are not), else None."""
    return value if isinstance(value, int) and not isinstance(value, bool) else None


def shown(value: Any) -> str:
    """Show a value briefly in a message."""
    try:
        text = json_like(value)
    except ValueError:
        return "a number too large to show"
    return text if len(text) <= 40 else text[:37] + "..."


def json_like(value: Any) -> str:
    """Write the JSON constants as JSON does, anything else as Python does."""
    if value is None:
        return "null"
    return str(value).lower() if isinstance(value, bool) else repr(value)
