"""What went wrong with a racquet, what is done about it, and what one shift tells the next."""

import pytest
from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict
from desk.models import Event, Job
from desk.queries.mishaps.mishaps import breaks_of_reel, mishap_lines
from desk.queries.mishaps.shift import standings
from desk.services.acting import Acting
from desk.services.bench.jobs import start_job
from desk.services.counter.drop_offs import take_drop_off
from desk.services.mishaps.mishaps import MishapForm, close_mishap, report_mishap
from desk.services.mishaps.shift_notes import hand_shift_over, take_shift_over
from desk.services.team.team import call_in_absent
from tests import make
from tests.services.mishaps.strung_visit import acting, strung
from tests.services.small_desk import small_desk

LEAD = Acting(by="lead", at=make.moment("Mon 12:00"))


def test_a_break_names_reel_machine_stringer_and_sisters_and_is_strung_anew_first(session: Session) -> None:
    desk = small_desk(session)
    first, sister = strung(session, desk, 2)
    form = MishapForm(kind="string_broke", note="after an hour", again=True)
    mishap = report_mishap(session, desk.event.id, first.id, form, acting=LEAD)
    (line,) = mishap_lines(session, desk.event)
    assert (line.words, line.note, line.stringer, line.machine) == (
        "The string broke",
        "after an hour",
        desk.stringers[0].name,
        desk.machines[0].name,
    )
    assert line.reels == (desk.reel.code,)
    assert line.sisters == ((sister.code, desk.player.name),)
    again = session.get_one(Job, mishap.again_id)
    assert (again.state, again.weight, again.redo_of_id) == ("waiting", 20, first.id)
    assert breaks_of_reel(session, desk.reel.id) == 1


def test_a_lost_tag_is_replaced_and_the_old_one_dies(session: Session) -> None:
    desk = small_desk(session)
    (job,) = strung(session, desk, 1)
    old = job.code
    report_mishap(session, desk.event.id, job.id, MishapForm(kind="tag_lost"), acting=LEAD)
    assert job.code != old
    assert session.query(Job).filter_by(code=old).count() == 0
    after = take_drop_off(
        session, desk.event.id, desk.form(desk.racquet_form(1), key="two"), acting=acting("13:00")
    ).jobs[0]
    assert after.code not in (old, job.code)


@pytest.mark.parametrize("form", [MishapForm(kind="left_behind", again=True), MishapForm(kind="nothing")])
def test_what_cannot_be_is_refused_and_nothing_is_noted(session: Session, form: MishapForm) -> None:
    desk = small_desk(session)
    (job,) = strung(session, desk, 1)
    with pytest.raises(BadInput):
        report_mishap(session, desk.event.id, job.id, form, acting=LEAD)
    assert mishap_lines(session, desk.event) == []


def test_a_mishap_stays_open_until_somebody_says_what_was_done(session: Session) -> None:
    desk = small_desk(session)
    (job,) = strung(session, desk, 1)
    mishap = report_mishap(session, desk.event.id, job.id, MishapForm(kind="wrong_tension"), acting=LEAD)
    with pytest.raises(BadInput):
        close_mishap(session, desk.event.id, mishap.id, " ", acting=LEAD)
    close_mishap(session, desk.event.id, mishap.id, "told the player", acting=LEAD)
    assert mishap_lines(session, desk.event)[0].closed_by == "lead"
    with pytest.raises(Conflict):
        close_mishap(session, desk.event.id, mishap.id, "again", acting=LEAD)


def test_a_shift_hands_over_what_stands_and_is_taken_over_once(session: Session) -> None:
    desk = small_desk(session)
    (job,) = strung(session, desk, 1)
    report_mishap(session, desk.event.id, job.id, MishapForm(kind="wrong_tension"), acting=LEAD)
    note = hand_shift_over(session, desk.event.id, "Bench 2 squeaks.", acting=LEAD)
    assert "What went wrong" in [part["heading"] for part in note.stood]
    take_shift_over(session, desk.event.id, note.id, acting=acting("14:00"))
    assert (note.by, note.taken_over_by) == ("lead", "desk")
    with pytest.raises(Conflict):
        take_shift_over(session, desk.event.id, note.id, acting=LEAD)


def test_what_is_on_a_machine_stands_first(session: Session) -> None:
    desk = small_desk(session)
    job = take_drop_off(session, desk.event.id, desk.form(), acting=acting("09:00")).jobs[0]
    start_job(session, desk.event.id, job.id, **desk.bench(), acting=acting("10:00"))
    event = session.get_one(Event, desk.event.id)
    first = standings(session, event, make.moment("Mon 10:05"))[0]
    assert (first.heading, first.lines[0][2][: len(job.code)]) == ("On the machines", job.code)
    assert first.lines[0][3] == "done by"
    who = desk.stringers[0]
    call_in_absent(session, desk.event.id, who.id, acting=acting("10:06"), reason="sick")
    first = standings(session, event, make.moment("Mon 10:10"))[0]
    assert first.lines[0][0] == "" and first.lines[0][2].endswith(f"; {who.name} is away, and nobody works on it")
