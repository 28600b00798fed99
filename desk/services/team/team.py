"""The team: stringers, their shifts and absences, home machines. PINs are set with the accounts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import partial

from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict
from desk.models import Absence, Event, Machine, Shift, Stringer
from desk.queries.finding import find, find_of
from desk.queries.spans import Span
from desk.queries.team.team import absence_at
from desk.services.acting import Acting, lock_and_find, lock_event, log_change
from desk.services.form_values import change, chosen_code, codes_of, next_position, refuse, require_hours, values_of
from desk.trade.event.event_time import EventClock
from desk.trade.racquet.value_kinds import PACE

_log = partial(log_change, subject="team")

MOST_A_DAY = 60
"""More racquets in a day nobody strings: 30 to 40 at peaks (press reports)."""


@dataclass(frozen=True, kw_only=True)
class StringerForm:
    """What the lead enters of a stringer; pace is per cent of house time, 110 a tenth slower.

    What they may string: natural gut, racquets from the court, as a trainee neither; `most_a_day` racquets.
    """

    name: str
    code: str = ""
    home_machine_id: int | None = None
    pace: int = 100
    pace_override: int | None = None
    strings_gut: bool = True
    strings_on_court: bool = True
    is_trainee: bool = False
    most_a_day: int | None = None


def add_stringer(session: Session, event_id: int, form: StringerForm, *, acting: Acting) -> Stringer:
    """Add a stringer to the event; they stand last in the desk's order."""
    event = lock_event(session, event_id)
    _require_stringer(session, event, form)
    code = chosen_code(form.code, codes_of(session, event, Stringer), "S", "stringer", digits=2)
    more = {"code": code, "position": next_position(session, event, Stringer), "pace_entered": form.pace}
    stringer = Stringer(event_id=event.id, **values_of(form) | more)
    session.add(stringer)
    _log(session, event, acting, f"{stringer.name} joined the team")
    return stringer


def edit_stringer(session: Session, event_id: int, stringer_id: int, form: StringerForm, *, acting: Acting) -> Stringer:
    """Change a stringer's name, home machine or pace; the code stays."""
    event, stringer = lock_and_find(session, event_id, Stringer, stringer_id, "stringer")
    _require_stringer(session, event, form)
    change(stringer, values_of(form, "code"))
    _log(session, event, acting, f"{stringer.name} changed: pace {stringer.pace_override or stringer.pace} per cent")
    return stringer


def _require_stringer(session: Session, event: Event, form: StringerForm) -> None:
    faults = {}
    if not form.name.strip():
        faults["name"] = "say the stringer's name"
    for field, pace in (("pace", form.pace), ("pace_override", form.pace_override)):
        if pace is not None and (fault := PACE.fault(pace)):
            faults[field] = fault
    if form.most_a_day is not None and not 0 <= form.most_a_day <= MOST_A_DAY:
        faults["most_a_day"] = f"give racquets from 0 to {MOST_A_DAY}, or nothing for no limit"
    refuse(faults, "This stringer cannot be saved like this")
    if form.home_machine_id is not None:
        find_of(session, event, Machine, form.home_machine_id, "machine")


def set_shifts(session: Session, event_id: int, stringer_id: int, spans: Sequence[Span], *, acting: Acting) -> Stringer:
    """Set all hours of a stringer; a break is the gap between two shifts."""
    event, stringer = lock_and_find(session, event_id, Stringer, stringer_id, "stringer")
    require_hours(spans, field="shifts", what=f"The shifts of {stringer.name}")
    stringer.shifts = [Shift(from_at=from_at, to_at=to_at) for from_at, to_at in sorted(spans)]
    _log(session, event, acting, f"Hours of {stringer.name} set: {len(spans)} shifts")
    return stringer


def set_hours_of_day(
    session: Session, event_id: int, stringer_id: int, day: date, spans: Sequence[Span], *, acting: Acting
) -> Stringer:
    """Set the hours of a stringer on one day of the event; those of the other days stay."""
    event = find(session, Event, event_id, "event")
    stringer = find_of(session, event, Stringer, stringer_id, "stringer")
    clock = EventClock(event.time_zone, day)
    others = [(one.from_at, one.to_at) for one in stringer.shifts if clock.local(one.from_at).date() != day]
    return set_shifts(session, event_id, stringer_id, [*others, *spans], acting=acting)


def call_in_absent(
    session: Session,
    event_id: int,
    stringer_id: int,
    *,
    acting: Acting,
    reason: str = "",
    from_at: datetime | None = None,
    back_at: datetime | None = None,
) -> Absence:
    """Note that a stringer is away, from now unless a time is given, until `back_at` or until somebody ends it.

    `back_at` is expected: the plan counts with it, and it moves on until somebody says that they are back.
    For somebody who is away already it changes until when. A racquet on their machine stays there.
    """
    event, stringer = lock_and_find(session, event_id, Stringer, stringer_id, "stringer")
    begins = from_at or acting.at
    if back_at is not None and back_at <= begins:
        raise BadInput("The time back must be after the absence begins.", fields={"back_at": "give a later time"})
    absence = absence_at(stringer, begins)
    if absence is None:
        at_once = begins <= acting.at
        absence = Absence(from_at=begins, to_at=back_at, begun=at_once, reason=reason.strip(), by=acting.by)
        stringer.absences.append(absence)
    else:
        absence.to_at, absence.reason = back_at, reason.strip() or absence.reason
    why = f": {absence.reason}" if absence.reason else ""
    _log(session, event, acting, f"{stringer.name} is absent{why}")
    return absence


def back_at_work(session: Session, event_id: int, stringer_id: int, *, acting: Acting) -> Stringer:
    """End a stringer's absence now; for somebody who is here, take back absences to come that have no end."""
    event, stringer = lock_and_find(session, event_id, Stringer, stringer_id, "stringer")
    if absence_at(stringer, acting.at) is None:
        to_come = [one for one in stringer.absences if one.from_at > acting.at and one.to_at is None]
        if not to_come:
            raise Conflict(f"{stringer.name} is not marked as absent.")
        stringer.absences = [one for one in stringer.absences if one not in to_come]
        _log(session, event, acting, f"{stringer.name} stays after all")
        return stringer
    while (absence := absence_at(stringer, acting.at)) is not None:
        absence.to_at, absence.over = acting.at, True
    _log(session, event, acting, f"{stringer.name} is back")
    return stringer
