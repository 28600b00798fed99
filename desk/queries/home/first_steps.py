"""The first steps of a new event, from nothing to a running desk."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import exists, select
from sqlalchemy.orm import Session

from desk.models import DropOff, Event, Machine, Match, Shift, Stringer, StringType


@dataclass(frozen=True, kw_only=True)
class FirstSteps:
    """What of a running desk is there already."""

    machines: bool
    team: bool
    string: bool
    play: bool
    drop_off: bool

    @property
    def is_over(self) -> bool:
        """Whether racquets are being strung; an order of play may stay out."""
        return self.machines and self.team and self.string and self.drop_off


def first_steps(session: Session, event: Event) -> FirstSteps:
    """Tell by one statement how far a new event is."""
    found = {
        "machines": exists().where(Machine.event_id == event.id),
        "team": exists().where(Shift.stringer_id == Stringer.id, Stringer.event_id == event.id),
        "string": exists().where(StringType.event_id == event.id),
        "play": exists().where(Match.event_id == event.id),
        "drop_off": exists().where(DropOff.event_id == event.id),
    }
    row = session.execute(select(*(there.label(name) for name, there in found.items()))).one()
    return FirstSteps(**row._mapping)
