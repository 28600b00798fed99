"""A small desk in a house, its racquets, and what was said of them."""

import html
import re
from collections.abc import Callable

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Event, Job
from tests import make
from tests.services.small_desk import SmallDesk, small_desk
from tests.web.conftest import House


def move_in(house: House, fill: Callable[[Session, SmallDesk], object], *, at: str) -> SmallDesk:
    """Let a small desk be the event of the house, with what FILL adds and its clock at AT."""

    def furnish(session: Session, _event: Event) -> SmallDesk:
        found = small_desk(session)
        make.set_clock(found.event, at)
        fill(session, found)
        return found

    found = house.write(furnish)
    object.__setattr__(house, "event_id", found.event.id)
    return found


def jobs_of(house: House) -> list[Job]:
    return list(house.scalars(select(Job).where(Job.event_id == house.event_id).order_by(Job.id)))


def said_of(house: House) -> list[str]:
    return [job.matters for job in jobs_of(house)]


def words(text: str) -> str:
    """A screen as it reads, without its marks."""
    plain = " ".join(html.unescape(re.sub(r"<[^>]+>", " ", text)).split())
    return re.sub(r" ([;:.,])", r"\1", plain)
