"""A visit with the longest contents that the desk takes in: a coach's four racquets, all invented."""

from decimal import Decimal

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Court, DropOff, Event, Promise
from tests import make

NAME = "Maximiliana-Alexandrina van der Hohenbruck-Wetterstein y Montes"[:60]
NOTE = ("Mains looser by half a pound if it rains; weave the last two crosses by hand, no wax. " * 3)[:170]
STENCIL = "Two bars and a ring, white on black strings, dry an hour first"[:60]
CONSENT = "The owner agrees to a tension above the range that is printed on the frame"


def fill_long(session: Session, event: Event) -> DropOff:
    """Fill one visit: every field as long as it may be."""
    event.name, event.desk_place = (
        "Open Championship of the Province of Wetterstein and Hohenbruck",
        ("Hall 3, behind the players’ entrance, left of the stairs to the locker rooms"),
    )
    player = make.make_player(session, event, name=NAME)
    player.note = NOTE
    string = make.make_string(
        session, event, name="Wetterstein Hohenbruck Professional Multi", colour="anthracite grey"
    )
    other = make.make_string(session, event, name="Montes Alexandrina Natural Heritage Gut", colour="natural amber")
    court = session.scalars(select(Court).where(Court.event_id == event.id)).first()
    drop_off = make.make_drop_off(session, player, frame_note=NOTE[:120], consent=CONSENT)
    for number in range(4):
        card = {
            "mains_string_id": string.id, "crosses_string_id": other.id, "mains_tension": Decimal("24.5"),
            "crosses_tension": Decimal("23.25"), "tension_unit": "kg", "mains_pre_stretch": 10, "stencil": STENCIL,
            "note": NOTE, "pieces": 2, "extra_work": "grommets", "as_fresh": True,
        }  # fmt: skip
        on_court = number == 3 and court is not None
        when = {"needed_by_at": make.moment("Tue 11:00"), "on_court": on_court}
        job = make.make_job(
            session, player, drop_off=drop_off, card=card, court_id=court.id if on_court else None, **when
        )
        told = {"ready_at": make.moment("Tue 09:45"), "given_at": job.dropped_at, "by": "desk"}
        session.add(Promise(job_id=job.id, **told))
        job.racquet.note = NOTE
        job.racquet.frame.name = "Hohenbruck Wetterstein Graphite Tour 98 Limited Edition"
    session.flush()
    return drop_off
