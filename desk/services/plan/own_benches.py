"""Each player's own stringer and machine: kept from the first plan until the lead changes it or they leave."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.models import Absence, Event, Job, Machine, Player, Shift, Stringer
from desk.queries.finding import find_of
from desk.queries.plan.own_bench import OwnBench, own_benches
from desk.services.acting import Acting, lock_and_find, log_change, write_log


def set_own_bench(
    session: Session, event_id: int, player_id: int, stringer_id: int | None, machine_id: int | None, *, acting: Acting
) -> Player:
    """Decide who strings for a player, and where; None for both: whoever has strung most, else the next plan's."""
    event, player = lock_and_find(session, event_id, Player, player_id, "player")
    said = _said(session, event, stringer_id, machine_id)
    player.own_stringer_id, player.own_machine_id = stringer_id, machine_id
    if stringer_id is None and machine_id is None:
        player.first_stringer_id = player.first_machine_id = None
    log_change(session, event, acting, f"{player.called}: {said}", subject="plan")
    return player


def _said(session: Session, event: Event, stringer_id: int | None, machine_id: int | None) -> str:
    names = []
    if stringer_id is not None:
        names.append(f"with {find_of(session, event, Stringer, stringer_id, 'stringer').name}")
    if machine_id is not None:
        names.append(f"at {find_of(session, event, Machine, machine_id, 'machine').name}")
    return f"{' '.join(names)} from now on" if names else "left to the plan, with whom and where"


def keep_own_benches(session: Session, event: Event, *, acting: Acting) -> int:
    """Keep whom the plan in force gave to players that have nobody yet; return how many changed.

    Of a player's racquets the most count, of equals the first; what is strung already counts before the plan. A
    stringer who left keeps nobody whom another strings for.
    """
    changed = _left_behind(session, event, acting)
    session.flush()
    nobody = (Player.first_stringer_id.is_(None), Player.own_stringer_id.is_(None))
    without = session.scalars(select(Player).where(Player.event_id == event.id, *nobody).order_by(Player.id)).all()
    own = own_benches(session, event, [player.id for player in without]) if without else {}
    for player in without:
        bench = own.get(player.id)
        if bench is not None and bench.stringer_id is not None:
            player.first_stringer_id, player.first_machine_id = bench.stringer_id, bench.machine_id
            changed += 1
    session.flush()
    return changed


def _left_behind(session: Session, event: Event, acting: Acting) -> int:
    """Free the players of stringers who left; who strings for them since, or is to, comes after."""
    changed = 0
    for stringer, since_at in _who_left(session, event, acting.at):
        players = select(Player).where(Player.event_id == event.id, Player.first_stringer_id == stringer.id)
        for player in session.scalars(players.order_by(Player.id)):
            bench = _since(session, player, stringer, since_at)
            if bench is not None:
                player.first_stringer_id, player.first_machine_id = bench.stringer_id, bench.machine_id
                to = find_of(session, event, Stringer, bench.stringer_id or 0, "stringer").name
                write_log(session, event, acting, "plan", f"{player.name}: with {to} from now on, {stringer.name} left")
                changed += 1
    return changed


def _who_left(session: Session, event: Event, at: datetime) -> Iterator[tuple[Stringer, datetime]]:
    """Yield who has no hours ahead, or went without saying when they are back, with since when."""
    team = session.scalars(select(Stringer).where(Stringer.event_id == event.id).order_by(Stringer.id)).all()
    ids = [one.id for one in team]
    last = select(Shift.stringer_id, func.max(Shift.to_at)).where(Shift.stringer_id.in_(ids))
    ends: dict[int, datetime] = dict(session.execute(last.group_by(Shift.stringer_id)).all())
    away = select(Absence.stringer_id, func.min(Absence.from_at)).where(Absence.stringer_id.in_(ids))
    open_ones = away.where(Absence.from_at <= at, Absence.to_at.is_(None)).group_by(Absence.stringer_id)
    since: dict[int, datetime] = dict(session.execute(open_ones).all())
    for one in team:
        if one.id in since:
            yield one, since[one.id]
        elif one.id in ends and ends[one.id] <= at:
            yield one, ends[one.id]


def _since(session: Session, player: Player, stringer: Stringer, since_at: datetime) -> OwnBench | None:
    """Return who began a racquet of the player first SINCE_AT, racquets from the court not counted."""
    found = (
        select(Job.stringer_id, Job.machine_id)
        .where(Job.player_id == player.id, Job.started_at >= since_at, Job.on_court.is_(False))
        .where(Job.stringer_id.is_not(None), Job.stringer_id != stringer.id)
        .order_by(Job.started_at, Job.id)
        .limit(1)
    )
    row = session.execute(found).first()
    return None if row is None else OwnBench(stringer_id=row.stringer_id, machine_id=row.machine_id, why="first")
