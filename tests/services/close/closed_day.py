"""The Monday of ten jobs, closed by its lead in the evening."""

from sqlalchemy.orm import Session

from desk.services.close import days
from tests import make
from tests.queries.close.ten_jobs import Bench, ten_jobs


def lead(text: str = "Mon 22:05"):
    return make.acting(text, by="Mira")


def closed_monday(session: Session) -> Bench:
    desk = ten_jobs(session, make.make_event(session, days=2))
    days.close_day(session, desk.event.id, desk.event.days[0].id, acting=lead())
    return desk
