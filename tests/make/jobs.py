"""Racquets dropped off, with their cards."""

from decimal import Decimal
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import DropOff, Event, Job, JobCard, Player, Promise, Racquet, StringType
from tests.make.adding import add, next_number
from tests.make.event import moment
from tests.make.players import make_racquet
from tests.make.string import make_string


def make_drop_off(session: Session, player: Player, **over: Any) -> DropOff:
    values = {
        "at": moment("Mon 09:00"),
        "by": "desk",
        "request_key": f"request-{next_number(session, DropOff)}",
        "frame_checked": True,
    } | over
    return add(session, DropOff(event_id=player.event_id, player_id=player.id, **values))


def make_card(session: Session, job: Job, **over: Any) -> JobCard:
    event = session.get_one(Event, job.event_id)
    string = session.scalar(select(StringType).where(StringType.event_id == event.id)) or make_string(session, event)
    values = {
        "mains_string_id": string.id,
        "crosses_string_id": string.id,
        "mains_tension": Decimal("52"),
        "crosses_tension": Decimal("50"),
        "tension_unit": "lb",
    } | over
    return add(session, JobCard(job_id=job.id, **values))


def make_job(
    session: Session,
    player: Player,
    *,
    racquet: Racquet | None = None,
    drop_off: DropOff | None = None,
    card: dict[str, Any] | None = None,
    **over: Any,
) -> Job:
    """Return a waiting job with its card, dropped off at 09:00 on the first day."""
    racquet = racquet or make_racquet(session, player)
    dropped_at = over.pop("dropped_at", moment("Mon 09:00"))
    drop_off = drop_off or make_drop_off(session, player, at=dropped_at)
    number = next_number(session, Job)
    values = {"serial": number, "code": f"J{number:04}", "house_minutes": 22, "dropped_at": dropped_at} | over
    owners = {"event_id": player.event_id, "player_id": player.id, "racquet_id": racquet.id}
    job = add(session, Job(drop_off_id=drop_off.id, **owners, **values))
    make_card(session, job, **(card or {}))
    session.refresh(job)
    return job


def make_promise(session: Session, job_id: int, ready: str, *, given: str = "Mon 09:00") -> Promise:
    """Return the ready time told for a job."""
    return add(session, Promise(job_id=job_id, ready_at=moment(ready), given_at=moment(given), by="desk"))
