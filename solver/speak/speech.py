"""How times and ids are said in a sentence."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

Clock = Callable[[int], str]
Length = Callable[[int], str]


def wall_clock(minute: int) -> str:
    """Give a minute as the wall shows it, with the day's number from the second day on."""
    day, left = divmod(minute, 24 * 60)
    shown = f"{left // 60:02d}:{left % 60:02d}"
    return shown if day == 0 else f"{shown} of day {day + 1}"


def in_minutes(minutes: int) -> str:
    """Give a length of time in minutes."""
    return f"{minutes} min"


@dataclass(frozen=True, kw_only=True, slots=True)
class Speech:
    """A clock, how lengths of time are said, and the spoken names of jobs, stringers and machines by id."""

    clock: Clock
    names: Mapping[str, str]
    length: Length = in_minutes

    def name(self, any_id: str) -> str:
        """Give the spoken name, or the id itself."""
        return self.names.get(any_id, any_id)

    def machine(self, machine_id: str) -> str:
        """Give a machine's spoken name, or say that the id is a machine's."""
        return self.names.get(machine_id, f"machine {machine_id}")


def in_a_row(names: Sequence[str]) -> str:
    """Give names one after the other: "A, B and C"."""
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def upper_first(text: str) -> str:
    """Give a sentence its capital letter."""
    return text[:1].upper() + text[1:]
