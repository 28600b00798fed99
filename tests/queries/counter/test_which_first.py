"""Several racquets for one match, not all in time: the counter asks which matters most, and it is kept."""

from dataclasses import replace
from datetime import timedelta

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Job, LogEntry, Match
from desk.queries.counter.which_first import WhichFirst, which_first
from desk.services.bench.jobs import cancel_job
from desk.services.counter.drop_offs import preview, take_drop_off
from desk.services.play import what_matters
from desk.services.play.needed_by import refresh_needed_by
from desk.trade.drop_off_forms import DropOffForm
from desk.trade.play.needed_by import FIRST
from tests import make
from tests.services.small_desk import SmallDesk, small_desk

AT = make.moment("Mon 12:00")
NOON = make.acting("Mon 12:00")


@pytest.fixture
def desk(session: Session) -> SmallDesk:
    return small_desk(session)


def _match(session: Session, desk: SmallDesk, time: str) -> Match:
    court = make.make_court(session, desk.event)
    return make.make_match(
        session, court, day=desk.event.days[0], players=(desk.player, None), start=f"not before {time}"
    )


def _visit(desk: SmallDesk, *numbers: int, first: int | None = None, key: str = "once") -> DropOffForm:
    said = [desk.racquet_form(number, matters=FIRST if number == first else "") for number in numbers]
    return desk.form(*said, key=key)


def _asked(session: Session, desk: SmallDesk, form: DropOffForm) -> WhichFirst | None:
    return which_first(session, desk.event, desk.player.id, preview(session, desk.event, form, AT))


def _ids(desk: SmallDesk, *numbers: int) -> tuple[int, ...]:
    return tuple(desk.racquets[number].id for number in numbers)


def test_where_all_are_in_time_nothing_is_asked(session: Session, desk: SmallDesk) -> None:
    _match(session, desk, "20:00")
    assert _asked(session, desk, _visit(desk, 0, 1, 2)) is None


def test_where_one_is_tight_or_late_it_is_asked_in_the_order_of_the_form(session: Session, desk: SmallDesk) -> None:
    _match(session, desk, "13:10")
    assert _asked(session, desk, _visit(desk, 2, 0, 1)) == WhichFirst(racquet_ids=_ids(desk, 2, 0, 1))
    assert _asked(session, desk, _visit(desk, 0)) is None


def test_the_one_that_matters_is_placed_first_and_stays_asked(session: Session, desk: SmallDesk) -> None:
    _match(session, desk, "13:10")
    ready = [one.quote.ready_at for one in preview(session, desk.event, _visit(desk, 0, 1, 2), AT)]
    assert ready == sorted(ready)
    form = _visit(desk, 0, 1, 2, first=2)
    drafts = preview(session, desk.event, form, AT)
    assert [one.form.racquet_id for one in drafts] == [*_ids(desk, 0, 1, 2)]
    assert [one.needed.weight for one in drafts] == [5, 3, 10]
    assert drafts[2].quote.ready_at < drafts[0].quote.ready_at < drafts[1].quote.ready_at
    assert _asked(session, desk, form) == WhichFirst(racquet_ids=_ids(desk, 0, 1, 2), said_id=desk.racquets[2].id)


def test_what_was_said_is_kept_with_its_weight_and_logged(session: Session, desk: SmallDesk) -> None:
    _match(session, desk, "13:10")
    visit = take_drop_off(session, desk.event.id, _visit(desk, 0, 1, 2, first=1), acting=NOON)
    assert [(job.matters, job.weight) for job in visit.jobs] == [("", 5), (FIRST, 10), ("", 3)]
    refresh_needed_by(session, desk.event, at=AT)
    assert [(job.matters, job.weight) for job in visit.jobs] == [("", 5), (FIRST, 10), ("", 3)]
    last = session.scalars(select(LogEntry.text).order_by(LogEntry.id.desc())).first()
    assert last.endswith(f"; {visit.jobs[1].code} matters most")


def test_one_that_waits_already_comes_first_unless_another_is_said(session: Session, desk: SmallDesk) -> None:
    _match(session, desk, "13:10")
    (before,) = take_drop_off(session, desk.event.id, _visit(desk, 3), acting=NOON).jobs
    asked = _asked(session, desk, _visit(desk, 0, 1))
    assert asked == WhichFirst(racquet_ids=_ids(desk, 0, 1), here_number=desk.racquets[3].number)
    visit = take_drop_off(session, desk.event.id, _visit(desk, 0, 1, first=1, key="two"), acting=NOON)
    refresh_needed_by(session, desk.event, at=AT)
    assert [job.weight for job in (before, *visit.jobs)] == [5, 3, 10]
    for job in visit.jobs:
        cancel_job(session, desk.event.id, job.id, "undone", acting=NOON)
    refresh_needed_by(session, desk.event, at=AT + timedelta(minutes=1))
    assert before.weight == 10


def test_what_was_answered_at_an_earlier_visit_is_not_asked_again(session: Session, desk: SmallDesk) -> None:
    _match(session, desk, "13:10")
    (before,) = take_drop_off(session, desk.event.id, _visit(desk, 3), acting=NOON).jobs
    what_matters.matters_most(session, desk.event.id, before.id, acting=NOON)
    assert _asked(session, desk, _visit(desk, 0, 1)) is None


def test_of_two_visits_the_last_word_holds(session: Session, desk: SmallDesk) -> None:
    _match(session, desk, "13:10")
    take_drop_off(session, desk.event.id, _visit(desk, 0, 1, first=1), acting=NOON)
    take_drop_off(session, desk.event.id, _visit(desk, 2, 3, first=3, key="two"), acting=NOON)
    session.expire_all()
    assert session.scalars(select(Job.matters).order_by(Job.serial)).all() == ["", "", "", FIRST]


def test_one_from_the_court_is_asked_nothing(session: Session, desk: SmallDesk) -> None:
    _match(session, desk, "13:10")
    form = _visit(desk, 0, 1)
    assert _asked(session, desk, replace(form, racquets=[replace(one, on_court=True) for one in form.racquets])) is None
