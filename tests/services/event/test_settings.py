"""Settings of an event: checked together, and asking for a plan only where the plan follows them."""

from typing import Any

import pytest
from sqlalchemy import inspect, select
from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict
from desk.models import Event, LogEntry
from desk.models.database import Database
from desk.services.event import settings
from desk.services.event_files.tables.event_table import EVENT
from desk.services.event_files.tables.spec import Around, CellFault
from desk.services.money import charges
from desk.trade.event.event_settings import SETTINGS
from desk.trade.event.event_time import EventClock
from tests import make
from tests.make import acting, moment


def change(session: Session, event: Event, **values: Any) -> None:
    settings.change_settings(session, event.id, values, acting=acting())


def test_settings_are_kept_and_logged(any_database: Database) -> None:
    with any_database.writing() as session:
        event = make.make_event(session)
        change(session, event, name=" Harbour Week ", target_minutes=25, calibration_required=False)
    with any_database.reading() as session:
        event = session.get_one(Event, event.id)
        assert (event.name, event.target_minutes, event.calibration_required) == ("Harbour Week", 25, False)
        assert session.scalars(select(LogEntry.text)).one() == (
            "Name of the event: Harbour Week; Time target for a job, minutes: 25; "
            "A machine needs a calibration before each day's work: no"
        )


def test_every_fault_is_said_at_once_and_nothing_is_kept(session: Session, event: Event) -> None:
    with pytest.raises(BadInput) as refused:
        change(session, event, name="", time_zone="Mars/Base", currency="XX", target_minutes=2.5, promise_per_cent=100)
    assert set(refused.value.fields) == {"name", "time_zone", "currency", "target_minutes", "promise_per_cent"}
    assert event.name == "Testfield Open"


def test_a_figure_from_before_its_range_stands_until_it_is_changed(session: Session, event: Event) -> None:
    event.calibration_tolerance_lb = 8.0
    change(session, event, calibration_tolerance_lb=8.0, target_minutes=25)
    assert (event.calibration_tolerance_lb, event.target_minutes) == (8.0, 25)
    with pytest.raises(BadInput, match="pounds from"):
        change(session, event, calibration_tolerance_lb=9.0)


@pytest.mark.parametrize("name", SETTINGS)
def test_what_a_file_may_say_the_screen_may_keep(name: str) -> None:
    column = next(one for one in EVENT.columns if one.name == (SETTINGS[name].in_file or name))
    around = Around(clock=EventClock(make.ZONE, make.FIRST_DAY), currency="EUR", values={})
    read = []
    for text in (
        "0",
        "0.1",
        "1",
        "5",
        "8",
        "15",
        "90",
        "100",
        "101",
        "700",
        "yes",
        "EUR",
        "Europe/Vienna",
        "tag",
        "comma",
        "club_weekend",
        "a" * 201,
    ):
        try:
            read.append(column.parse(text, around))
        except CellFault:
            continue
    assert read
    assert [value for value in read if SETTINGS[name].kind.fault(value)] == []


def test_an_unknown_setting_is_refused(session: Session, event: Event) -> None:
    with pytest.raises(BadInput, match="no setting slug"):
        change(session, event, slug="other")


def test_a_setting_of_the_plan_asks_for_a_new_plan(session: Session, event: Event) -> None:
    before = event.change_number
    change(session, event, lead_minutes=45)
    assert event.change_number == before + 1
    change(session, event, board_names="initials")
    assert event.change_number == before + 1


def test_what_stays_the_same_changes_nothing(session: Session, event: Event) -> None:
    before = event.revision
    change(session, event, name=event.name, target_minutes=event.target_minutes)
    assert event.revision == before


def test_the_currency_stays_once_there_are_amounts(session: Session, event: Event) -> None:
    change(session, event, currency="CHF")
    player = make.make_player(session, event)
    charges.add_charge(session, event.id, player.id, 100, acting=acting(), text="Overgrip")
    with pytest.raises(Conflict, match="Amounts in CHF"):
        change(session, event, currency="EUR")


def test_hours_read_the_same_in_another_zone(session: Session, event: Event) -> None:
    stringer = make.make_stringer(session, event)
    change(session, event, time_zone="Europe/Lisbon")
    assert event.days[0].opens_at == moment("Mon 08:00", zone="Europe/Lisbon")
    assert stringer.shifts[0].to_at == moment("Mon 21:00", zone="Europe/Lisbon")


def test_the_zone_stays_once_there_are_jobs(session: Session, event: Event) -> None:
    make.make_job(session, make.make_player(session, event))
    with pytest.raises(Conflict, match="make a new event"):
        change(session, event, time_zone="Europe/Lisbon")


def test_every_setting_is_a_column_of_the_event() -> None:
    columns = {column.key for column in inspect(Event).columns}
    assert set(SETTINGS) - columns == set()


def test_the_settings_of_a_new_event_pass_their_own_checks(session: Session, event: Event) -> None:
    assert [name for name, one in SETTINGS.items() if one.kind.fault(getattr(event, name))] == []


def test_the_hours_of_a_day_change(session: Session, event: Event) -> None:
    day = event.days[0]
    hours = (moment("Mon 07:00"), moment("Tue 01:00"))
    settings.set_day_hours(session, event.id, day.id, *hours, acting=acting())
    assert (day.opens_at, day.closes_at) == hours


@pytest.mark.parametrize(("opens", "closes"), [("Mon 08:00", "Mon 08:00"), ("Tue 08:00", "Tue 20:00")])
def test_hours_that_cannot_be_are_refused(session: Session, event: Event, opens: str, closes: str) -> None:
    with pytest.raises(BadInput):
        settings.set_day_hours(session, event.id, event.days[0].id, moment(opens), moment(closes), acting=acting())


def test_a_closed_day_keeps_its_hours(session: Session, event: Event) -> None:
    event.days[0].closed_at = moment("Mon 22:00")
    with pytest.raises(Conflict, match="Mon 2031-05-12 is closed"):
        settings.set_day_hours(
            session, event.id, event.days[0].id, moment("Mon 08:00"), moment("Mon 21:00"), acting=acting()
        )


def test_a_median_changeover_below_the_least_is_refused(session: Session, event: Event) -> None:
    change(session, event, between_least_minutes=20, between_median_minutes=20)
    with pytest.raises(BadInput, match="more than 25"):
        change(session, event, between_least_minutes=25)
    assert event.between_least_minutes == 20
