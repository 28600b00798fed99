"""A desk with one string and a reel of it, and racquets to take it."""

from dataclasses import dataclass

from sqlalchemy.orm import Session

from desk.models import Event, Job, Player, Reel, ReelEntry, StringType
from desk.queries.string.store import reel_rows
from desk.services.string import string_use
from tests import make

OWN = {"own_mains": True, "own_crosses": True}


@dataclass
class ReelDesk:
    """An event with one string, a reel of it and a player."""

    session: Session
    event: Event
    string: StringType
    reel: Reel
    player: Player

    @property
    def left_m(self) -> float:
        return self.row().left_m

    def row(self, code: str | None = None):
        code = code or self.reel.code
        return next(row for row in reel_rows(self.session, self.event) if row.code == code)

    def job(self, **over: object) -> Job:
        return make.make_job(self.session, self.player, **over)

    def use(self, job: Job, **over: object) -> list[ReelEntry]:
        return string_use.use_for_job(self.session, self.event, job, acting=make.acting(), **over)


def reel_desk(session: Session, *, metres: float = 200.0) -> ReelDesk:
    event = make.make_event(session)
    string = make.make_string(session, event)
    reel = make.make_reel(session, string, metres=metres, code="R1")
    return ReelDesk(session, event, string, reel, make.make_player(session, event))
