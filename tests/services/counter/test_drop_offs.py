"""Drop-offs: all or nothing, once for each form, a promise for each racquet, guards that say what to do."""

from dataclasses import astuple, replace
from datetime import timedelta
from decimal import Decimal

import pytest
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict
from desk.models import DropOff, Job, Promise
from desk.queries.counter.drop_off_preview import preview
from desk.services.counter.drop_offs import take_drop_off
from desk.trade.bench.promise import tell
from desk.trade.drop_off_forms import RacquetForm
from tests import make
from tests.services.small_desk import SmallDesk, small_desk

NOW = make.acting("Mon 10:00")


def count(session: Session, table: type) -> int:
    return session.scalar(select(func.count()).select_from(table)) or 0


def test_drop_off_stores_job_card_and_promise(any_session: Session) -> None:
    desk = small_desk(any_session)
    visit = take_drop_off(any_session, desk.event.id, desk.form(), acting=NOW)
    job = visit.jobs[0]
    assert (job.state, str(job.card.mains_tension), job.card.tension_unit) == ("waiting", "52.5", "lb")
    assert job.promises[0].ready_at >= job.promises[0].planned_end_at > NOW.at
    assert job.promises[0].ready_at.minute % 5 == 0


def test_the_same_form_sent_twice_counts_once(any_session: Session) -> None:
    desk = small_desk(any_session)
    first = take_drop_off(any_session, desk.event.id, desk.form(), acting=NOW)
    second = take_drop_off(any_session, desk.event.id, desk.form(), acting=NOW)
    assert (first.id, count(any_session, Job)) == (second.id, 1)


def test_racquets_of_one_visit_are_promised_one_after_the_other(session: Session, desk: SmallDesk) -> None:
    form = desk.form(desk.racquet_form(0), desk.racquet_form(1))
    first, second = take_drop_off(session, desk.event.id, form, acting=NOW).jobs
    minutes = (second.promises[0].planned_end_at - first.promises[0].planned_end_at).total_seconds() / 60
    assert minutes == second.house_minutes


def test_two_visits_before_the_next_plan_are_not_told_the_same_place(session: Session, desk: SmallDesk) -> None:
    ends = []
    for number in range(3):
        form = desk.form(desk.racquet_form(number), key=f"visit-{number}")
        ends.append(take_drop_off(session, desk.event.id, form, acting=NOW).jobs[0].promises[0].planned_end_at)
    assert len(set(ends)) == 3


def test_preview_stores_nothing_and_shows_what_is_then_promised(session: Session, desk: SmallDesk) -> None:
    (draft,) = preview(session, desk.event, desk.form(), NOW.at)
    assert (count(session, DropOff), count(session, Job), count(session, Promise)) == (0, 0, 0)
    visit = take_drop_off(session, desk.event.id, desk.form(), acting=NOW)
    assert visit.jobs[0].promises[0].ready_at == draft.quote.ready_at


def test_a_ready_time_that_got_later_since_it_was_shown_is_refused(session: Session, desk: SmallDesk) -> None:
    shown = desk.racquet_form(shown_ready_at=NOW.at + timedelta(minutes=5))
    with pytest.raises(Conflict, match="has become later"):
        take_drop_off(session, desk.event.id, desk.form(shown), acting=NOW)
    assert count(session, Job) == 0


def test_the_time_that_was_shown_is_the_promise(session: Session, desk: SmallDesk) -> None:
    told = NOW.at + timedelta(hours=2)
    visit = take_drop_off(session, desk.event.id, desk.form(desk.racquet_form(shown_ready_at=told)), acting=NOW)
    assert visit.jobs[0].promises[0].ready_at == told


def test_a_long_job_is_promised_as_it_was_quoted_with_the_margin_of_its_own_minutes(
    session: Session, desk: SmallDesk
) -> None:
    form = desk.form(desk.racquet_form(card={"extra_work": "grommets"}))
    (draft,) = preview(session, desk.event, form, NOW.at)
    assert draft.house_minutes == 40 and draft.quote is not None and draft.quote.told is not None
    (job,) = take_drop_off(session, desk.event.id, form, acting=NOW).jobs
    (given,) = job.promises
    assert (given.planned_end_at, given.margin_minutes, given.ready_at) == astuple(draft.quote.told)[:3]
    long, short = (
        tell(given.planned_end_at, jobs_ahead=0, minutes=minutes, needed_by_at=None).margin_minutes
        for minutes in (40, 20)
    )
    assert given.margin_minutes == long > short


@pytest.mark.parametrize("state", ["waiting", "on_machine", "held"])
def test_a_racquet_that_is_at_the_desk_already_is_refused(session: Session, desk: SmallDesk, state: str) -> None:
    (job,) = take_drop_off(session, desk.event.id, desk.form(), acting=NOW).jobs
    job.state = state
    with pytest.raises(Conflict, match="at the desk already"):
        take_drop_off(session, desk.event.id, desk.form(key="again"), acting=NOW)


def test_tension_above_the_frame_needs_consent(session: Session, desk: SmallDesk) -> None:
    tight = desk.form(desk.racquet_form(card={"mains": {"tension": Decimal("62")}}))
    with pytest.raises(BadInput, match="above the range"):
        take_drop_off(session, desk.event.id, tight, acting=NOW)
    visit = take_drop_off(session, desk.event.id, replace(tight, consent="owner, at the counter"), acting=NOW)
    assert visit.consent == "owner, at the counter"


def test_kilos_above_the_frame_in_pounds_need_consent(session: Session, desk: SmallDesk) -> None:
    spoken = {"tension": Decimal("28"), "unit": "kg"}
    card = {"mains": spoken, "crosses": spoken}
    with pytest.raises(BadInput, match="above the range"):
        take_drop_off(session, desk.event.id, desk.form(desk.racquet_form(card=card)), acting=NOW)


def test_a_new_racquet_is_added_with_its_number_and_frame(session: Session, desk: SmallDesk) -> None:
    new = RacquetForm(number=7, frame_id=desk.frame.id, card=desk.card())
    visit = take_drop_off(session, desk.event.id, desk.form(new), acting=NOW)
    assert visit.jobs[0].racquet.number == 7


def test_a_number_that_is_taken_is_refused(session: Session, desk: SmallDesk) -> None:
    taken = RacquetForm(number=1, frame_id=desk.frame.id, card=desk.card())
    with pytest.raises(BadInput, match="number 1 already"):
        take_drop_off(session, desk.event.id, desk.form(taken), acting=NOW)


def test_another_players_racquet_is_refused(session: Session, desk: SmallDesk) -> None:
    other = make.make_racquet(session, make.make_player(session, desk.event))
    form = desk.form(RacquetForm(racquet_id=other.id, card=desk.card()))
    with pytest.raises(BadInput, match="another player"):
        take_drop_off(session, desk.event.id, form, acting=NOW)


def test_a_racquet_without_string_is_held_and_not_promised(session: Session, desk: SmallDesk) -> None:
    bare = make.make_string(session, desk.event, name="String B")
    card = {half: {"string_id": bare.id} for half in ("mains", "crosses")}
    job = take_drop_off(session, desk.event.id, desk.form(desk.racquet_form(card=card)), acting=NOW).jobs[0]
    assert (job.state, job.promises) == ("held", [])
    assert "String B" in job.held_reason


def test_an_on_court_racquet_is_needed_at_once(session: Session, desk: SmallDesk) -> None:
    job = take_drop_off(session, desk.event.id, desk.form(desk.racquet_form(on_court=True)), acting=NOW).jobs[0]
    assert (job.weight, job.needed_by_at) == (20, NOW.at + timedelta(minutes=15))


def test_an_empty_drop_off_is_refused(session: Session, desk: SmallDesk) -> None:
    with pytest.raises(BadInput, match="at least one racquet"):
        take_drop_off(session, desk.event.id, replace(desk.form(), racquets=()), acting=NOW)


def test_the_drop_off_asks_for_a_new_plan(session: Session, desk: SmallDesk) -> None:
    before = desk.event.change_number
    take_drop_off(session, desk.event.id, desk.form(), acting=NOW)
    assert desk.event.change_number > before
