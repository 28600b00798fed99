"""Strung racquets handed over: to whom, what may not go, and taken back."""

import pytest
from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict
from desk.services.bench import undo
from desk.services.counter.handovers import hand_over
from tests.services.bench.on_their_way import LATER, dropped, finished
from tests.services.small_desk import SmallDesk, small_desk


def test_a_hand_over_names_who_took_it_and_can_be_taken_back(any_session: Session) -> None:
    desk = small_desk(any_session)
    job = finished(any_session, desk)
    given = hand_over(any_session, desk.event.id, [job.id], collected_by="the coach", acting=LATER)
    assert (job.state, job.hand_over_id, given.collected_by) == ("handed_over", given.id, "the coach")
    undo.undo_hand_over(any_session, desk.event.id, given.id, acting=LATER)
    assert (job.state, job.hand_over_id) == ("strung", None)


def test_a_racquet_that_is_not_strung_is_not_handed_over(session: Session, desk: SmallDesk) -> None:
    with pytest.raises(Conflict, match="only a strung one"):
        hand_over(session, desk.event.id, [dropped(session, desk).id], collected_by="x", acting=LATER)


def test_a_hand_over_to_nobody_is_refused(session: Session, desk: SmallDesk) -> None:
    with pytest.raises(BadInput, match="who takes"):
        hand_over(session, desk.event.id, [finished(session, desk).id], collected_by="", acting=LATER)
