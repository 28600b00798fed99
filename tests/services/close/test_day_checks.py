"""What is looked at before a day is closed: how many are open, who they are, and where to mend it."""

from sqlalchemy.orm import Session

from desk.models import Event
from desk.queries.close.day_checks import check_list
from desk.services.string import store
from tests import make
from tests.queries.close.ten_jobs import Bench, ten_jobs
from tests.services.close.closed_day import lead


def counts(session: Session, event: Event, at: str = "Mon 22:05") -> dict[str, int]:
    return {item.key: item.count for item in check_list(session, event, event.days[0], at=make.moment(at))}


def test_check_list_counts_what_is_open(session):
    desk = ten_jobs(session, make.make_event(session, days=2))
    assert counts(session, desk.event) == {
        "on_machine": 0,
        "waiting": 1,  # 10
        "held": 0,
        "uncollected": 1,  # 7
        "string_missing": 0,
        "reels": 0,  # measured at 20:00
        "accounts": 5,  # all who were charged but Alma, who paid
        "machines_out": 0,
        "uncalibrated": 2,
        "mishaps": 0,
        "totals": 0,
    }


def test_check_list_names_who_and_where_to_mend_it(session):
    desk = ten_jobs(session, make.make_event(session, days=2))
    items = check_list(session, desk.event, desk.event.days[0], at=make.moment("Mon 22:05"))
    accounts = next(item for item in items if item.key == "accounts")
    assert accounts.where == "charges"
    assert accounts.names[0] == "Bruno €70.00"
    assert not any(item.forbids for item in items)


def test_more_names_than_fit_are_counted(session):
    desk = Bench.set_up(session, make.make_event(session, days=1))
    for number in range(8):
        desk.take_in(desk.player(f"Player {number}"), "09:00")
    items = check_list(session, desk.event, desk.event.days[0], at=make.moment("Mon 22:05"))
    waiting = next(item for item in items if item.key == "waiting")
    assert (waiting.count, len(waiting.names), waiting.names[-1]) == (8, 6, "and 3 more")


def test_a_reel_cut_after_it_was_measured_is_to_be_measured_again(session):
    desk = ten_jobs(session, make.make_event(session, days=2))
    desk.string(desk.take_in(desk.player("Hana"), "20:30"), "20:40", "21:00", 11.0)
    assert counts(session, desk.event)["reels"] == 1
    store.correct_reel(session, desk.event.id, desk.reel.id, 85.0, acting=lead(), note="measured")
    assert counts(session, desk.event)["reels"] == 0
