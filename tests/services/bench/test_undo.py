"""A step of a job taken back, with its string and its charge."""

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import Conflict
from desk.models import Charge, ReelEntry
from desk.services.bench import undo
from tests import make
from tests.services.bench.on_their_way import LATER, dropped, finished, started
from tests.services.small_desk import SmallDesk, small_desk


def test_undo_of_a_start_frees_the_bench(session: Session, desk: SmallDesk) -> None:
    job = undo.undo_last(session, desk.event.id, started(session, desk).id, acting=LATER)
    assert (job.state, job.stringer_id, job.started_at) == ("waiting", None, None)


def test_undo_of_a_finish_books_string_and_charge_back(any_session: Session) -> None:
    desk = small_desk(any_session)
    make.make_price(any_session, desk.event, "labour", 1800)
    job = undo.undo_last(any_session, desk.event.id, finished(any_session, desk).id, acting=LATER)
    any_session.flush()
    metres = any_session.scalars(select(ReelEntry.metres).where(ReelEntry.reel_id == desk.reel.id)).all()
    owed = any_session.scalars(select(Charge.amount_minor).where(Charge.job_id == job.id)).all()
    assert (job.state, round(sum(metres), 6), sum(owed)) == ("on_machine", 200.0, 0)


def test_undo_twice_goes_back_two_steps(session: Session, desk: SmallDesk) -> None:
    job = finished(session, desk)
    undo.undo_last(session, desk.event.id, job.id, acting=LATER)
    assert undo.undo_last(session, desk.event.id, job.id, acting=LATER).state == "waiting"


def test_undo_of_nothing_says_so(session: Session, desk: SmallDesk) -> None:
    with pytest.raises(Conflict, match="nothing to take back"):
        undo.undo_last(session, desk.event.id, dropped(session, desk).id, acting=LATER)
