"""Giving racquets back, and to whom."""

from __future__ import annotations

from collections.abc import Sequence

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict, NotFound
from desk.models import HandOver, Job, Player
from desk.queries.finding import find, find_of
from desk.services.acting import Acting, lock_event, log_change
from desk.services.bench.job_states import change_state, state_words
from desk.services.counter.contact_leave import allowed_contact


def hand_over(
    session: Session,
    event_id: int,
    job_ids: Sequence[int],
    *,
    collected_by: str,
    acting: Acting,
    note: str = "",
    contact_id: int | None = None,
) -> HandOver:
    """Hand racquets of one player over; each must be strung. CONTACT_ID says that a contact took them."""
    event = lock_event(session, event_id)
    jobs = _chosen(session, event_id, job_ids)
    contact = allowed_contact(session, contact_id, jobs[0].player_id, "may_collect")
    if contact is None and not collected_by.strip():
        raise BadInput("Say who takes the racquets.", fields={"collected_by": "say who takes them"})
    for job in jobs:
        if job.state != "strung":
            raise Conflict(f"Racquet {job.code} is {state_words(job)}; only a strung one can be handed over.")
    player = find(session, Player, jobs[0].player_id, "player")
    given = HandOver(
        event_id=event.id,
        player_id=player.id,
        at=acting.at,
        by=acting.by,
        collected_by=contact.name if contact else collected_by.strip(),
        collected_by_id=contact_id,
        note=note.strip(),
    )
    session.add(given)
    session.flush()
    for job in jobs:
        change_state(session, job, "handed_over", acting=acting, note=f"to {given.collected_by}")
        job.hand_over_id = given.id
    codes = ", ".join(job.code for job in jobs)
    log_change(
        session,
        event,
        acting,
        f"{codes} of {player.called} handed to {given.collected_by}",
        subject="pickup",
        plan=False,
    )
    return given


def hand_over_to_contact(
    session: Session, event_id: int, contact_id: int, job_ids: Sequence[int], *, acting: Acting
) -> list[HandOver]:
    """Hand racquets of several players to a contact who collects for each of them: one hand-over a player."""
    event = lock_event(session, event_id)
    players: dict[int, list[int]] = {}
    for job_id in job_ids:
        players.setdefault(find_of(session, event, Job, job_id, "racquet").player_id, []).append(job_id)
    if not players:
        raise BadInput("Choose at least one racquet.", fields={"jobs": "choose at least one"})
    taken = {"collected_by": "", "contact_id": contact_id, "acting": acting}
    return [hand_over(session, event.id, jobs, **taken) for jobs in players.values()]


def _chosen(session: Session, event_id: int, job_ids: Sequence[int]) -> list[Job]:
    if not job_ids:
        raise BadInput("Choose at least one racquet.", fields={"jobs": "choose at least one"})
    jobs = session.scalars(select(Job).where(Job.event_id == event_id, Job.id.in_(set(job_ids))).order_by(Job.id)).all()
    if len(jobs) != len(set(job_ids)):
        raise NotFound("One of these racquets is not in the records (any more); look the player up again.")
    if len({job.player_id for job in jobs}) > 1:
        raise BadInput("These racquets belong to two players; hand them over one player at a time.")
    return list(jobs)
