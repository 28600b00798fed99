"""A bed of string has two halves, mains and crosses; what is known of one half is known of the other."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Generic, Literal, Protocol, TypeVar

from desk.trade.racquet.units import Tension, plain

Half = Literal["mains", "crosses"]
HALVES: tuple[Half, Half] = ("mains", "crosses")
T, U = TypeVar("T"), TypeVar("U")


@dataclass(frozen=True)
class Bed(Generic[T]):
    """One thing for each half; unpacks as mains, crosses."""

    mains: T
    crosses: T

    @classmethod
    def of(cls, make: Callable[[Half], T]) -> Bed[T]:
        """A bed of what MAKE returns for the name of each half."""
        return cls(make("mains"), make("crosses"))

    def __iter__(self) -> Iterator[T]:
        yield self.mains
        yield self.crosses

    def __getitem__(self, half: Half) -> T:
        return self.mains if half == "mains" else self.crosses

    def items(self) -> Iterator[tuple[Half, T]]:
        """Each half's name with what is said of it."""
        return zip(HALVES, self, strict=True)

    def map(self, make: Callable[[T], U]) -> Bed[U]:
        """A bed of what MAKE returns for each half."""
        return Bed(make(self.mains), make(self.crosses))


class _Strung(Protocol):
    @property
    def string_id(self) -> int: ...

    @property
    def own(self) -> bool: ...


S = TypeVar("S", bound=_Strung)


class StringBed(Bed[S]):
    """Which string each half takes, and whether the player brings it."""

    @property
    def string_ids(self) -> set[int]:
        return {half.string_id for half in self}

    @property
    def is_hybrid(self) -> bool:
        """Whether mains and crosses are of two strings."""
        return len(self.string_ids) == 2

    @property
    def is_one_string(self) -> bool:
        """Whether both halves may be cut from one reel: the same string of the same owner."""
        return not self.is_hybrid and self.mains.own == self.crosses.own

    @property
    def own_string(self) -> str:
        """Which halves the player brings: yes (both), no, mains or crosses."""
        if self.mains.own == self.crosses.own:
            return "yes" if self.mains.own else "no"
        return "mains" if self.mains.own else "crosses"


@dataclass(frozen=True)
class HalfCard:
    """How one half is to be strung: the tension in the unit that was spoken, pre-stretch in per cent."""

    string_id: int
    tension: Decimal
    unit: str
    pre_stretch: int = 0
    own: bool = False

    @property
    def spoken(self) -> Tension:
        return Tension(self.tension, self.unit)  # type: ignore[arg-type]


def spoken_tensions(bed: Bed[HalfCard]) -> str:
    """Both tensions as they are spoken of: "52.5 / 50.5 lb"."""
    return f"{plain(bed.mains.tension)} / {plain(bed.crosses.tension)} {bed.mains.unit}"


def is_above(bed: Bed[HalfCard], high: Tension) -> bool:
    """Whether a half is asked for tighter than HIGH, the end of the range printed on the frame."""
    return max(half.spoken.in_lb for half in bed) > high.in_lb


@dataclass(frozen=True)
class HalfUse:
    """What one half was cut from, and the metres measured; None where nobody said."""

    reel_id: int | None = None
    metres: float | None = None


NOT_SAID = Bed(HalfUse(), HalfUse())
