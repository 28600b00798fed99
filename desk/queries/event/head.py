"""The head of an event that every screen shows, and the standing of whoever is signed in, in one statement."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields
from datetime import date, datetime
from typing import Any

from sqlalchemy import Select, bindparam, func, literal, select
from sqlalchemy.orm import Session

from desk.models import Account, Event, EventDay, PlannerBeat, SignedSession, Stringer, TrustedDevice


@dataclass(frozen=True)
class Head:
    """The columns of an event that every screen needs."""

    id: int
    slug: str
    name: str
    kind: str
    town: str
    desk_place: str
    time_zone: str
    currency: str
    status: str
    board_names: str
    names_stringers: bool
    clock_speed: float
    clock_real_at: datetime | None
    clock_event_at: datetime | None
    revision: int
    change_number: int
    planned_change_number: int
    first_day: date | None
    beats: int


_HEAD = tuple(column.name for column in fields(Head))[:-2]


def _head_statement() -> Select:
    one = select(literal(1).label("one")).subquery()
    first_day = select(func.min(EventDay.date)).where(EventDay.event_id == Event.id).scalar_subquery()
    beats = select(func.coalesce(func.sum(PlannerBeat.beats), 0)).scalar_subquery()
    return (
        select(*(getattr(Event, name) for name in _HEAD), first_day, beats)
        .add_columns(Account.id, Account.name, Account.role, Account.active, Account.password_hash, Account.event_id)
        .add_columns(Stringer.id, Stringer.name, Stringer.pin_hash, TrustedDevice.id, TrustedDevice.withdrawn_at)
        .add_columns(SignedSession.id, SignedSession.ended_at)
        .select_from(one)
        .outerjoin(Event, Event.id == bindparam("event_id"))
        .outerjoin(Account, Account.id == bindparam("account_id"))
        .outerjoin(Stringer, Stringer.id == bindparam("stringer_id"))
        .outerjoin(TrustedDevice, TrustedDevice.id == bindparam("device_id"))
        .outerjoin(SignedSession, SignedSession.key_hash == bindparam("key_hash"))
    )


# Every request asks this, so it is put together once.
_HEAD_OF_REQUEST = _head_statement()


def read_head(
    session: Session, event_id: int, *, key_hash: str = "", **signed: int
) -> tuple[Head | None, Sequence[Any]]:
    """Return the event's head, and the account, stringer, device and session that SIGNED and KEY_HASH name."""
    row = session.execute(_HEAD_OF_REQUEST, {"event_id": event_id, "key_hash": key_hash, **signed}).one()
    return Head(*row[: len(_HEAD) + 2]) if row[0] is not None else None, row[len(_HEAD) + 2 :]
