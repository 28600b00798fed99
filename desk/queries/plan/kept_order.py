"""The order of a bench: what waits at it by the plan, and the places that a hand gave."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Assignment, Event, Job, Player, Racquet
from desk.trade.bench.kept_places import KeptPlace, Waiting, plan_name, turns

ENDINGS = {1: "st", 2: "nd", 3: "rd"}


@dataclass(frozen=True, kw_only=True)
class InOrder:
    """A racquet that waits at a bench; `kept` is the place that a hand gave it."""

    job_id: int
    serial: int
    code: str
    name: str
    kept: KeptPlace | None


def bench_order(session: Session, event: Event, stringer_id: int) -> list[InOrder]:
    """Return what waits for a stringer in the order of the plan in force."""
    found = (
        select(Job, Player.called, Racquet.number)
        .join(Assignment, Assignment.job_id == Job.id)
        .join(Player, Player.id == Job.player_id)
        .join(Racquet, Racquet.id == Job.racquet_id)
        .where(Assignment.run_id == (event.current_run_id or 0), Assignment.stringer_id == stringer_id)
        .where(Job.state == "waiting")
        .order_by(Assignment.start_at)
    )
    return [in_order(*row) for row in session.execute(found)]


def in_order(job: Job, player: str, number: int) -> InOrder:
    """Return a racquet of a bench's order."""
    name = f"{player}, racquet {number}"
    return InOrder(job_id=job.id, serial=job.serial, code=job.code, name=name, kept=KeptPlace.of(job.kept_place))


def waiting_of(jobs: Iterable[Job]) -> list[Waiting]:
    """Return those of the jobs that wait, with the places that hands gave them."""
    return [
        Waiting(
            serial=job.serial,
            stringer_id=job.pinned_stringer_id,
            on_court=job.on_court,
            place=KeptPlace.of(job.kept_place),
        )
        for job in jobs
        if job.state == "waiting"
    ]


def names_after(waiting: Sequence[Waiting]) -> dict[str, tuple[str, ...]]:
    """Return for each racquet, by the names of plan files, those that it comes after at one bench."""
    return {
        plan_name(serial): tuple(plan_name(one) for one in sorted(ahead))
        for serial, ahead in turns(waiting).items()
        if ahead
    }


def place_words(order: Sequence[InOrder], at: int, *, full: bool = False) -> str:
    """Say the place that a hand gave the racquet at a position of its bench, as far as anything still hangs on it.

    The order may be that of a plan from before the hand.
    """
    kept = order[at].kept
    if kept is None:
        return ""
    rest = [*order[:at], *order[at + 1 :]]
    ahead = _those_ahead(rest, kept)
    behind = [one for one in rest if one.serial in kept.behind]
    if ahead:
        turn = max(at, len(ahead))
        return f"{ordinal(turn + 1)}, after {_called(ahead[-1], full)}"
    if kept.is_next:
        return "next"
    return f"{ordinal(min(at, rest.index(behind[0])) + 1)}, before {_called(behind[0], full)}" if behind else ""


def place_choices(order: Sequence[InOrder]) -> list[tuple[str, str]]:
    """Return the places that a racquet may be given in a bench's order, which is without it."""
    after = [(str(one.job_id), f"{ordinal(n)}, after {_called(one, True)}") for n, one in enumerate(order, start=2)]
    return [("", "where the plan puts it"), ("0", "next"), *after]


def kept_after(order: Sequence[InOrder], job_id: int) -> str:
    """Return which of the choices a hand has made for a racquet of the order."""
    for at, one in enumerate(order):
        if one.job_id == job_id and one.kept is not None and place_words(order, at):
            ahead = _those_ahead([*order[:at], *order[at + 1 :]], one.kept)
            return str(ahead[-1].job_id) if ahead else "0"
    return ""


def _those_ahead(rest: Sequence[InOrder], kept: KeptPlace) -> list[InOrder]:
    """Return the others of a bench up to the last one that a kept place comes after."""
    last = max((at for at, one in enumerate(rest) if one.serial in kept.ahead), default=-1)
    return list(rest[: last + 1])


def _called(one: InOrder, full: bool) -> str:
    return f"{one.name} ({one.code})" if full else one.code


def ordinal(number: int) -> str:
    """Return 1st, 2nd, 3rd, 4th and so on."""
    return f"{number}{'th' if number % 100 in (11, 12, 13) else ENDINGS.get(number % 10, 'th')}"
