"""A desk with a price list, to charge racquets at."""

from dataclasses import dataclass, field

from sqlalchemy.orm import Session

from desk.models import Event, Job, Player, StringType
from desk.queries.money.charges import open_minor
from desk.services.money import charges
from desk.services.string import string_use
from tests import make


@dataclass
class PricedDesk:
    """An event with a price list, one string and a player."""

    session: Session
    event: Event
    string: StringType
    player: Player
    prices: dict[str, int] = field(default_factory=dict)

    def charge(self, job: Job) -> list[tuple[str, str, int]]:
        found = charges.charge_job(self.session, self.event, job, acting=make.acting())
        return [(line.kind, line.text, line.amount_minor) for line in found]

    def job(self, **over: object) -> Job:
        return make.make_job(self.session, self.player, **over)

    def strung(self, **over: object) -> Job:
        job = self.job(**over)
        string_use.use_for_job(self.session, self.event, job, acting=make.acting(), used=make.cut(6.1, 5.2))
        return job

    def open_minor(self) -> int:
        return open_minor(self.session, self.event, self.player.id)


def priced_desk(session: Session) -> PricedDesk:
    event = make.make_event(session, tax_basis_points=1900)
    string = make.make_string(session, event)
    make.make_reel(session, string)
    for kind, amount in (("labour", 2000), ("on_court", 1000), ("extra_work", 700), ("stencil", 300)):
        make.make_price(session, event, kind, amount)
    return PricedDesk(session, event, string, make.make_player(session, event))
