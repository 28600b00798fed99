"""Checks of machines by interval: what is due, done by one touch, taken back, and the list that the event changes."""

import pytest
from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict, NotFound
from desk.models import LogEntry, MachineCheck
from desk.queries.home.home import home
from desk.queries.machines.wear import WearRow, care_rows, check_list, wear_rows
from desk.services.acting import Acting
from desk.services.machines.check_list import CheckForm, add_check, begin_list, change_check, drop_check
from desk.services.machines.servicing import note_care, take_care_back
from desk.trade.bench.care_intervals import DEFAULTS
from tests import make
from tests.services.mishaps.strung_visit import strung
from tests.services.small_desk import SmallDesk, small_desk

LEAD = Acting(by="lead", at=make.moment("Mon 20:00"))


def first(session: Session, desk: SmallDesk) -> WearRow:
    return wear_rows(session, desk.event)[0]


def clamps(session: Session, desk: SmallDesk, **over: object) -> MachineCheck:
    form = CheckForm(**{"name": "Clean clamps", "every_racquets": 3} | over)
    return add_check(session, desk.event.id, form, acting=LEAD)


def test_racquets_and_hours_count_from_the_last_time_it_was_done(session: Session) -> None:
    """Three racquets of 20 minutes each make one hour; the fourth is done after the check."""
    desk = small_desk(session)
    check = clamps(session, desk)
    strung(session, desk, 3)
    (row,) = first(session, desk).checks
    assert (row.racquets, round(row.hours, 6), row.due, row.done_at) == (3, 1.0, True, None)
    bo = Acting(by="Bo", at=make.moment("Mon 11:30"))
    note_care(session, desk.event.id, desk.machines[0].id, check.id, "gripper too", acting=bo)
    strung(session, desk, 1, key="after")
    (row,) = first(session, desk).checks
    assert (row.racquets, round(row.hours, 6), row.due, row.done_by) == (1, round(1 / 3, 6), False, "Bo")
    (done,) = care_rows(session, desk.event)
    assert (done.machine, done.check, done.by, done.note) == (
        desk.machines[0].name,
        "Clean clamps",
        "Bo",
        "gripper too",
    )


def test_hours_alone_make_a_check_due(session: Session) -> None:
    desk = small_desk(session)
    clamps(session, desk, every_racquets=None, every_hours=1)
    strung(session, desk, 3)
    assert [check.name for check in first(session, desk).due] == ["Clean clamps"]


def test_what_was_noted_by_mistake_is_taken_back_once(session: Session) -> None:
    desk = small_desk(session)
    check = clamps(session, desk)
    strung(session, desk, 3)
    care = note_care(session, desk.event.id, desk.machines[0].id, check.id, acting=LEAD)
    assert not first(session, desk).due
    take_care_back(session, desk.event.id, care.id, acting=LEAD)
    assert first(session, desk).due
    assert care_rows(session, desk.event)[0].undone_by == "lead"
    with pytest.raises(Conflict):
        take_care_back(session, desk.event.id, care.id, acting=LEAD)


def test_a_check_of_one_machine_stands_in_place_of_the_general_one(session: Session) -> None:
    desk = small_desk(session)
    general = clamps(session, desk)
    own = clamps(session, desk, name="clean CLAMPS", every_racquets=9, machine_id=desk.machines[0].id)
    rows = wear_rows(session, desk.event)
    assert [[check.check_id for check in row.checks] for row in rows][:2] == [[own.id], [general.id]]
    with pytest.raises(NotFound):
        note_care(session, desk.event.id, desk.machines[0].id, general.id, acting=LEAD)


@pytest.mark.parametrize(
    "form",
    [
        CheckForm(name=" ", every_racquets=3),
        CheckForm(name="Jaws"),
        CheckForm(name="Jaws", every_hours=0),
        CheckForm(name="clean clamps", every_hours=5),
    ],
)
def test_a_check_without_name_or_interval_or_twice_is_refused(session: Session, form: CheckForm) -> None:
    desk = small_desk(session)
    clamps(session, desk)
    with pytest.raises(BadInput):
        add_check(session, desk.event.id, form, acting=LEAD)
    assert len(check_list(session, desk.event)) == 1


def test_a_changed_list_keeps_what_was_done_and_a_dropped_check_is_due_no_more(session: Session) -> None:
    desk = small_desk(session)
    check = clamps(session, desk)
    strung(session, desk, 1)
    note_care(session, desk.event.id, desk.machines[0].id, check.id, acting=LEAD)
    strung(session, desk, 2, key="after")
    change_check(session, desk.event.id, check.id, CheckForm(name="Clean clamps", every_racquets=2), acting=LEAD)
    assert [one.racquets for one in first(session, desk).due] == [2]
    drop_check(session, desk.event.id, check.id, acting=LEAD)
    assert first(session, desk).checks == ()
    assert len(care_rows(session, desk.event)) == 1
    with pytest.raises(Conflict):
        drop_check(session, desk.event.id, check.id, acting=LEAD)
    said = session.query(LogEntry.text).filter_by(subject="machines").all()
    assert ("Clean clamps taken off the list of checks",) in said


def test_due_checks_are_one_line_on_now(session: Session) -> None:
    desk = small_desk(session)
    clamps(session, desk)
    clamps(session, desk, name="Jaws", every_racquets=2)
    strung(session, desk, 3)
    lines = [line for group in home(session, desk.event, LEAD.at).groups if group.key == "care" for line in group.lines]
    bench = desk.machines[0].name
    assert [(line.name, line.text) for line in lines] == [
        ("1 machine", f"Due by racquets or hours: {bench}: jaws, clean clamps.")
    ]


def test_a_new_event_begins_with_the_usual_checks(session: Session) -> None:
    desk = small_desk(session)
    begin_list(session, desk.event)
    session.flush()
    names = [check.name for check in first(session, desk).checks]
    assert sorted(names) == sorted(check.name for check in DEFAULTS)
