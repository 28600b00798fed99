"""Word in a filled scene: ways of two players, and a message of each kind."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy.orm import Session

from desk.models import Job, Word, WordWay

if TYPE_CHECKING:
    from tests.web.scenes.scene import Scene


def fill_word(session: Session, scene: Scene) -> None:
    """Tell two players by e-mail and one on a phone, and let a message have been sent, fail, be in doubt and wait."""
    strung, held = scene.in_state("strung"), scene.in_state("held")
    ready, late = strung[0], scene.in_state("on_machine")[0]
    mail = _way(session, scene, ready, "mail", "toma.veldhuizen@example.org", "own page")
    phone = _way(session, scene, ready, "phone", "https://push.example.org/1", "own page")
    other = _way(session, scene, late, "mail", "coach@example.org", "desk")
    held_way = _way(session, scene, held[0], "mail", "held@example.org", "desk")
    _word(session, scene, mail, ready, "ready", "sent", ago=12)
    _word(session, scene, phone, ready, "ready", "failed", ago=12, why="the push service refused it (answer 403)")
    why = "the mail server gave no answer (no answer in time); it may have arrived"
    _word(session, scene, other, late, "later", "uncertain", ago=31, why=why)
    _word(session, scene, held_way, held[0], "held", "waiting", ago=1, tries=0)
    _word(session, scene, held_way, held[0], "late", "dropped", ago=50, why="overtaken", tries=0)


def _way(session: Session, scene: Scene, job: Job, kind: str, address: str, by: str) -> WordWay:
    way = WordWay(
        event_id=scene.event.id, player_id=job.player_id, kind=kind, language="en", address=address, by=by,
        at=scene.now - timedelta(hours=3), stop_token=f"stop-{scene.event.id}-{job.id}-{kind}",
    )  # fmt: skip
    session.add(way)
    session.flush()
    return way


def _word(
    session: Session, scene: Scene, way: WordWay, job: Job, occasion: str, state: str, *, ago: int, why: str = "",
    tries: int = 1,
) -> None:  # fmt: skip
    at = scene.now - timedelta(minutes=ago)
    session.add(
        Word(
            event_id=scene.event.id, way_id=way.id, job_id=job.id, occasion=occasion, cause_id=job.id, at=at,
            state=state, why=why, tries=tries, tried_at=at if tries else None, letter=f"{way.id}-{state}" * tries,
        )
    )  # fmt: skip
    session.flush()
