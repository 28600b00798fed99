"""A day of play beside the scene: three courts, matches over, on court and to come."""

from sqlalchemy.orm import Session

from desk.models import Event, Match
from tests import make
from tests.web.scenes.scene import Scene, fill


def whole_scene(session: Session, event: Event) -> list[Match]:
    """Fill EVENT with the scene and its order of play, and return the matches."""
    return fill_play(session, fill(session, event))


def fill_play(session: Session, scene: Scene) -> list[Match]:
    """Add the order of play of Monday and return its matches."""
    event, one = scene.event, scene.players
    day = event.days[0]
    centre, second, _ = (
        make.make_court(session, event, name=name) for name in ("Centre Court", "East Court", "West Court")
    )
    lene, ari, mio = (
        make.make_player(session, event, name=name) for name in ("Lene Voss", "Ari Sandgate", "Mio Tarkan")
    )
    over = {"state": "finished", "started_at": make.moment("Mon 10:02"), "ended_at": make.moment("Mon 11:40")}
    running = {"state": "on_court", "started_at": make.moment("Mon 11:58"), "sets_done": 1}
    first = make.make_match(session, centre, day=day, players=(lene, one[3]), start="at 10:00", **over)
    matches = [
        first,
        make.make_match(session, centre, day=day, players=(one[2], ari), **running),
        make.make_match(session, centre, day=day, players=(one[7], mio)),
        make.make_match(session, second, day=day, players=(one[5], one[6]), start="not before 13:30"),
        make.make_match(session, second, day=day, players=(first, None)),
    ]
    for job in scene.in_state("waiting"):
        if job.player_id == one[7].id:
            job.match_id = matches[2].id
    session.flush()
    return matches
