"""The lead gives a player a stringer and a machine of their own, or leaves both to the plan again."""

from __future__ import annotations

from sqlalchemy.orm import Session

from desk.models import Event, Machine, Player, Stringer
from desk.services.acting import Acting, lock_event, note_change, write_log
from desk.services.of_event import find_of


def set_own_bench(
    session: Session, event_id: int, player_id: int, stringer_id: int | None, machine_id: int | None, *, acting: Acting
) -> Player:
    """Decide who strings for a player, and where; None: whoever has strung most, and where."""
    event = lock_event(session, event_id)
    player = find_of(session, event, Player, player_id, "player")
    said = _said(session, event, stringer_id, machine_id)
    player.own_stringer_id, player.own_machine_id = stringer_id, machine_id
    session.flush()
    write_log(session, event, acting, "plan", f"{player.called}: {said}")
    note_change(event)
    return player


def _said(session: Session, event: Event, stringer_id: int | None, machine_id: int | None) -> str:
    names = []
    if stringer_id is not None:
        names.append(f"with {find_of(session, event, Stringer, stringer_id, 'stringer').name}")
    if machine_id is not None:
        names.append(f"at {find_of(session, event, Machine, machine_id, 'machine').name}")
    return f"{' '.join(names)} from now on" if names else "left to the plan, with whom and where"
