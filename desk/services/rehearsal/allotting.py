"""Whose players: proposed from the rehearsal, changed by hand, kept in the records."""

from __future__ import annotations

from collections.abc import Mapping

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import BadInput
from desk.models import Event, Player
from desk.queries.rehearsal.expected_work import home_machines
from desk.services.acting import Acting, lock_event, log_change


def keep_allotment(session: Session, event_id: int, stringer_of: Mapping[str, str], *, acting: Acting) -> int:
    """Store each player's own stringer, and that stringer's machine as the player's; give how many changed.

    Refused for stringers whom a rehearsal only supposes: they must be entered first.
    """
    event = lock_event(session, event_id)
    ids = home_machines(session, event)
    unknown = sorted(set(stringer_of.values()) - set(ids))
    if unknown:
        raise BadInput(f"{', '.join(unknown)}: not in the team yet. Enter them on the page Team, then keep it again.")
    changed = 0
    for player in _players(session, event):
        if player.code not in stringer_of:
            continue
        who, where = ids[stringer_of[player.code]]
        if (player.own_stringer_id, player.own_machine_id) != (who, where):
            player.own_stringer_id, player.own_machine_id = who, where
            changed += 1
    if changed:
        log_change(
            session,
            event,
            acting,
            f"{changed} {'player has' if changed == 1 else 'players have'} an own stringer and machine now",
            subject="plan",
        )
    return changed


def _players(session: Session, event: Event) -> list[Player]:
    return list(session.scalars(select(Player).where(Player.event_id == event.id, Player.erased_at.is_(None))))
