"""A plan: who strings which racquet, where and when, and what that costs."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Literal, cast

Status = Literal["optimal", "feasible", "empty"]


@dataclass(frozen=True, kw_only=True, slots=True, order=True)
class Assignment:
    """One job on one bench: ``[start, end)`` in minutes from the workload's origin."""

    job: str
    stringer: str
    machine: str
    start: int
    end: int


@dataclass(frozen=True, kw_only=True, slots=True)
class Answer:
    """What an answer costs: points by heading, a proved lower bound on the best total, seconds it took."""

    costs: Mapping[str, int]
    bound: int = 0
    seconds: float = 0.0

    @property
    def total(self) -> int:
        """Give the sum of all headings."""
        return sum(self.costs.values())

    @property
    def gap(self) -> float:
        """Give the part of the total that might still be saved, from 0 (proved best) to 1."""
        return (self.total - self.bound) / self.total if self.total else 0.0


@dataclass(frozen=True, kw_only=True, slots=True)
class Plan(Answer):
    """An answer to a workload.

    `status` is ``optimal`` (proved), ``feasible`` (keeps every rule) or ``empty`` (nothing to plan).
    `is_quick` says that it was made by quick rules alone, before the search was ready.
    """

    status: Status
    assignments: tuple[Assignment, ...]
    unplaced: tuple[str, ...] = ()
    workload_name: str = ""
    is_quick: bool = False

    def by_job(self) -> dict[str, Assignment]:
        """Give the assignments by job id."""
        return {a.job: a for a in self.assignments}

    def to_dict(self) -> dict[str, Any]:
        """Give the plan as its file holds it."""
        return {
            "workload": self.workload_name,
            "status": self.status,
            "total": self.total,
            "bound": self.bound,
            "gap": round(self.gap, 4),
            "seconds": round(self.seconds, 3),
            **({"is_quick": True} if self.is_quick else {}),
            "costs": dict(self.costs),
            "assignments": [
                {"job": a.job, "stringer": a.stringer, "machine": a.machine, "start": a.start, "end": a.end}
                for a in self.assignments
            ],
            "unplaced": list(self.unplaced),
        }

    @classmethod
    def from_dict(cls, data: Mapping[str, Any]) -> "Plan":
        """Read a plan as `to_dict` gives it.

        Raises
        ------
        ValueError
            When a key is missing or a value is of the wrong kind.
        """
        try:
            return cls(
                status=cast(Status, data["status"]),
                assignments=tuple(Assignment(**{k: a[k] for k in _KEYS}) for a in data["assignments"]),
                unplaced=tuple(data.get("unplaced", ())),
                costs={str(k): int(v) for k, v in data.get("costs", {}).items()},
                bound=int(data.get("bound", 0)),
                seconds=float(data.get("seconds", 0.0)),
                workload_name=str(data.get("workload", "")),
                is_quick=bool(data.get("is_quick", False)),
            )
        except (KeyError, TypeError, AttributeError) as error:
            raise ValueError(f"This is no plan: {error!r}. Give one as Plan.to_dict() writes it.") from error


_KEYS = ("job", "stringer", "machine", "start", "end")


def in_order(assignments: Iterable[Assignment]) -> tuple[Assignment, ...]:
    """Give the assignments by start, then stringer and job."""
    return tuple(sorted(assignments, key=lambda a: (a.start, a.stringer, a.job)))
