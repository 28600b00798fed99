"""Who of an earlier event comes again: the same name, a name that may be the same, or somebody new."""

from __future__ import annotations

from dataclasses import dataclass

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.models import Event, Job, JobCard, Player, Racquet, Stringer
from desk.queries.row_making import grouped
from desk.trade.likeness import may_be_one


@dataclass(frozen=True, kw_only=True)
class Returning:
    """A player of an earlier event by code; `same` is the player here of that name, `may_be` those alike."""

    code: str
    name: str
    same: str | None
    may_be: tuple[tuple[str, str], ...]

    @property
    def is_asked(self) -> bool:
        """Whether somebody must say who it is."""
        return self.same is None and bool(self.may_be)


def returning(session: Session, event: Event, earlier_session: Session, earlier: Event) -> list[Returning]:
    """Return the players of the earlier event; whoever was erased there is not among them."""
    players = select(Player.code, Player.name, Player.search_name).where(Player.erased_at.is_(None))
    here = session.execute(players.where(Player.event_id == event.id)).all()
    there = earlier_session.execute(players.where(Player.event_id == earlier.id).order_by(Player.name, Player.code))
    by_name = grouped((search, code) for code, _, search in here)
    counted = select(Player.search_name, func.count()).where(Player.event_id == earlier.id).group_by(Player.search_name)
    times = dict(earlier_session.execute(counted).all())
    found = []
    for code, name, search in there.all():
        same = by_name.get(search, [])
        one_each = len(same) == 1 and times[search] == 1
        alike = [(c, n) for c, n, s in here if (s == search and not one_each) or (s != search and may_be_one(n, name))]
        who = {"same": same[0], "may_be": ()} if one_each else {"same": None, "may_be": tuple(alike)}
        found.append(Returning(code=code, name=name, **who))
    return found


def last_cards(session: Session, event: Event) -> dict[tuple[str, int], tuple[JobCard, Racquet, Job]]:
    """Return the newest card of each racquet by the player's code and the racquet's number."""
    newest = select(func.max(Job.id)).where(Job.event_id == event.id, Job.state != "cancelled").group_by(Job.racquet_id)
    found = (
        select(JobCard, Racquet, Job, Player.code)
        .join(Job, Job.id == JobCard.job_id)
        .join(Racquet, Racquet.id == Job.racquet_id)
        .join(Player, Player.id == Job.player_id)
        .where(Job.id.in_(newest), Player.erased_at.is_(None))
    )
    return {(code, racquet.number): (card, racquet, job) for card, racquet, job, code in session.execute(found)}


def own_stringers(session: Session, event: Event) -> dict[str, str]:
    """Return the name of each player's own stringer by the player's code: as decided, else who strung most."""
    strung = (
        select(Player.code, Stringer.name, func.count())
        .join(Job, Job.player_id == Player.id)
        .join(Stringer, Stringer.id == Job.stringer_id)
        .where(Player.event_id == event.id, Player.erased_at.is_(None))
        .group_by(Player.code, Stringer.name)
        .order_by(func.count(), Stringer.name.desc())
    )
    decided = (
        select(Player.code, Stringer.name)
        .join(Stringer, Stringer.id == Player.own_stringer_id)
        .where(Player.event_id == event.id, Player.erased_at.is_(None))
    )
    most = {code: name for code, name, _ in session.execute(strung)}
    return most | dict(session.execute(decided).all())
