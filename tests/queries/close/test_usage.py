"""The figures of a ten-job day against the arithmetic by hand; see `ten_jobs` for the day."""

import shutil
from dataclasses import asdict
from datetime import date, datetime
from pathlib import Path

import pytest
from sqlalchemy.orm import Session

from desk.errors import NotFound
from desk.models import Event, ReelEntry
from desk.models.database import Database
from desk.queries.close import usage_report
from desk.services.money.pay_rates import set_rate
from exports.report import UsageReport
from tests import make
from tests.queries.close.ten_jobs import ten_jobs
from tests.statements import statements

MONDAY = make.FIRST_DAY
LB = 0.453_592_37
"""Kilograms in a pound: NIST SP 811 (2008), App. B.8."""


def monday(session: Session, event: Event, at: str = "Mon 22:00") -> UsageReport:
    return usage_report(session, event, MONDAY, at=make.moment(at))


@pytest.fixture(scope="module")
def report(sqlite_template: Path, tmp_path_factory: pytest.TempPathFactory) -> UsageReport:
    database = Database(f"sqlite:///{shutil.copy(sqlite_template, tmp_path_factory.mktemp('ten') / 'desk.sqlite')}")
    found = _ten_jobs_of(database)
    database.dispose()
    return found


def _ten_jobs_of(database: Database) -> UsageReport:
    with database.writing() as session:
        event = make.make_event(session, days=2)
        ten_jobs(session, event)
        return monday(session, event)


def test_both_databases_give_the_same_report(any_database, report):
    assert _ten_jobs_of(any_database) == report


def test_summary_is_the_sum_by_hand(report):
    assert asdict(report.summary) == {
        "racquets_strung": 9,  # all but 10
        "players_served": 6,  # Alma, Bruno, Celia, Dario, Elif, Fabio
        "with_needed_by": 8,  # the nine without 7
        "on_time": 6,  # 1, 2, 3, 6, 8, 9; not 4 (10:20 > 10:00), 5 (11:16 > 11:15)
        "tight": 0,  # none has a time to walk on
        "late_up_to_5": 1,  # 5, by a minute
        "late_up_to_15": 0,
        "late_up_to_30": 1,  # 4, by twenty
        "late_more": 0,
        "needed_not_strung": 0,
        "late_match_begun": 0,
        "promised_not_strung": 0,
        "promises_made": 7,  # 1, 2, 3, 4, 5, 6, 8
        "promises_kept": 4,  # 1, 2, 3, 5; not 4 (10:20 > 10:00), 6 (11:29 > 11:25), 8 (13:40 > 13:30, told first)
        "promises_changed": 1,  # 8
        "on_court": 2,  # 5, 6
        "on_court_mean_min": 20.0,  # 11:00 to 11:16 is 16, 11:05 to 11:29 is 24; (16 + 24) / 2
        "string_m": 101.5,  # 2 * 11 + 2 * 12 + 2 * 10.5 + 3 * 11.5 = 22 + 24 + 21 + 34.5
        "waste_m": 2.0,
        "redo": 1,  # 9
        "mishaps": 0,
        "carried_over": 1,  # 10
        "cancelled": 0,
        "uncollected": 1,  # 7; the racquet of 8 went out as 9
        "bench_mean_min": pytest.approx(221 / 9),  # 20 + 25 + 25 + 30 + 14 + 22 + 35 + 25 + 25 = 221
        "ready_mean_min": pytest.approx(365 / 9),  # 30 + 55 + 30 + 60 + 16 + 24 + 45 + 70 + 35 = 365
        "target_min": 30.0,
        "within_target": 8,  # all but 7, which took 35
        "stringers": 2,
        "machines": 2,
        "charged_minor": 29_000,  # 8 * (2000 + 1500) + 2 * 500: a redo costs nothing
        "brought_forward_minor": 0,
        "tax_minor": 0,
        "received_minor": 7_000,  # Alma's two, 2 * 3500
        "refunded_minor": 0,
        "written_off_minor": 0,
        "carried_forward_minor": 22_000,
    }


def test_hours_are_complete_from_first_to_last(report):
    counted = [
        (row.from_at.hour, row.dropped_off, row.strung, row.handed_over, row.on_court)
        for row in report.throughput_by_hour
    ]
    assert counted == [
        (9, 4, 3, 1, 0),  # 1 to 4 came; 1, 3, 2 strung; 3 handed over
        (10, 0, 1, 3, 0),  # 4 strung; 1, 2, 4 handed over
        (11, 2, 2, 2, 2),
        (12, 2, 1, 0, 0),
        (13, 0, 1, 0, 0),
        (14, 0, 1, 0, 0),  # 9 was no drop-off
        (15, 0, 0, 1, 0),
        (16, 1, 0, 0, 0),
    ]  # fmt: skip


def test_stringers_share_the_racquets(report):
    rows = [
        (row.stringer, row.racquets, row.players, row.busy_min, row.at_work_min, row.on_time, row.redo, row.string_m)
        for row in report.throughput_by_stringer
    ]
    assert rows == [
        # 1, 2, 5, 7: 20 + 25 + 14 + 35 = 94; 11 + 11 + 10.5 + 11.5 = 44; on time 1, 2; at work 08:00 to 21:00
        ("Stringer 1", 4, 3, 94.0, 780.0, 2, 0, 44.0),
        # 3, 4, 6, 8, 9: 25 + 30 + 22 + 25 + 25 = 127; 12 + 12 + 10.5 + 11.5 + 11.5 = 57.5; on time 3, 6, 8, 9
        ("Stringer 2", 5, 3, 127.0, 780.0, 4, 1, 57.5),
    ]


def test_machines_share_the_racquets(report):
    rows = [(row.machine, row.racquets, row.busy_min, row.stringers) for row in report.throughput_by_machine]
    assert rows == [("Bench 1", 4, 94.0, 1), ("Bench 2", 5, 127.0, 1)]


def test_reel_opens_uses_wastes_and_closes(report):
    (reel,) = report.reels
    # 200 - 101.5 - 2 = 96.5; measured 96.0, so half a metre is unexplained
    assert (reel.opening_m, reel.used_m, reel.waste_m, reel.closing_m, reel.racquets) == (200.0, 101.5, 2.0, 96.0, 9)
    assert reel.measured


def test_tensions_stand_as_spoken_with_the_mean_in_the_unit_of_most(report):
    mains = next(row for row in report.tensions if (row.group, row.part) == ("all", "mains"))
    assert (mains.lowest.spoken, mains.highest.spoken, mains.racquets) == ("52 lb", "24 kg", 9)
    assert mains.mean.lb == pytest.approx((8 * 52 + 24 / LB) / 9)


def test_one_material_is_one_row(report):
    (row,) = report.materials
    assert (row.mains, row.crosses, row.hybrid, row.racquets, row.players) == ("polyester", "polyester", False, 9, 6)


def test_each_player_is_charged_and_pays(report):
    rows = {row.payer: (row.racquets, row.labour_minor, row.string_minor, row.other_minor) for row in report.charges}
    assert rows["Alma"] == (2, 4000, 3000, 0)
    assert rows["Celia"] == (1, 2000, 1500, 500)
    assert rows["Fabio"] == (1, 2000, 1500, 0)
    assert {row.payer: row.received_minor for row in report.charges if row.received_minor} == {"Alma": 7000}
    assert next(row.note for row in report.charges if row.payer == "Alma") == "received cash €70.00"


def test_spare_minutes_are_below_zero_where_it_was_late(report):
    spare = {row.tag: (row.spare_min, row.promise_spare_min) for row in report.needed_by}
    tags = [job.tag for job in report.jobs]
    assert spare[tags[3]] == (-20.0, -20.0)
    assert spare[tags[4]] == (-1.0, 4.0)
    assert [row.tag for row in report.needed_by if row.spare_min is None] == [tags[9]]


def test_open_and_uncollected_are_named(report):
    (carried,), (uncollected,) = report.carried_over, report.uncollected
    assert (carried.player, carried.state, carried.reason) == ("Greta", "waiting", "not needed before Tue 11:00")
    assert (uncollected.player, uncollected.waiting_min) == ("Elif", 555.0)  # 12:45 to 22:00


def test_every_total_is_counted_twice_and_agrees(report):
    assert [row.figure for row in report.cross_checks if row.differs] == []
    assert len(report.cross_checks) > 12


def test_first_day_is_compared_with_nothing(report):
    assert report.comparison is None


def test_all_jobs_stand_in_order_with_what_became_of_them(report):
    states = [row.state for row in report.jobs]
    assert states == ["handed over"] * 6 + ["strung", "to be strung again", "handed over", "waiting"]
    assert report.jobs[7].note == "promise changed to Mon 14:00"
    assert report.jobs[8].redo_of == report.jobs[7].tag
    assert sum(row.string_m or 0 for row in report.jobs) == 101.5
    assert sum(row.charge_minor or 0 for row in report.jobs) == 29_000


def test_a_wrong_record_is_told_by_the_cross_check(session):
    event = make.make_event(session, days=2)
    desk = ten_jobs(session, event)
    job = desk.take_in(desk.player("Hana"), "17:00")
    job.finished_at = desk.at("17:30")  # finished without anybody having strung it
    session.flush()
    differing = [row.figure for row in monday(session, event).cross_checks if row.differs]
    assert differing == ["Racquets strung"]


@pytest.mark.parametrize(("metres", "differing"), [(0.04, []), (0.3, ["String in racquets"])])
def test_metres_cut_for_no_racquet_are_told_by_the_cross_check(session, metres, differing):
    event = make.make_event(session, days=2)
    reel = ten_jobs(session, event).reel
    session.add(ReelEntry(reel_id=reel.id, kind="use", metres=-metres, at=make.moment("Mon 15:00"), by="bench"))
    session.flush()
    assert [row.figure for row in monday(session, event).cross_checks if row.differs] == differing


def test_tuesday_is_compared_with_monday_and_monday_stays_as_it_was(session):
    event = make.make_event(session, days=2)
    desk = ten_jobs(session, event)
    before = monday(session, event)
    greta = desk.jobs[8]
    desk.string(greta, "Tue 09:00", "Tue 09:20", 11.0)
    tuesday = usage_report(session, event, date(2031, 5, 13), at=make.moment("Tue 12:00"))
    after = monday(session, event, "Tue 12:00")
    assert after.summary == before.summary
    assert (after.jobs, after.carried_over, after.reels) == (before.jobs, before.carried_over, before.reels)
    assert tuesday.summary.racquets_strung == 1
    assert tuesday.comparison.before_title == "Monday 12 May 2031 up to 12:00"
    assert [(row.now, row.before) for row in tuesday.comparison.rows[:2]] == [(1, 6), (1, 4)]  # 1 to 6


def test_days_add_up_to_the_event(session):
    event = make.make_event(session, days=2)
    desk = ten_jobs(session, event)
    job = desk.take_in(desk.player("Hana"), "Tue 00:30")  # in the night, after Monday's desk
    desk.string(job, "Tue 00:40", "Tue 01:00", 11.0)
    whole = usage_report(session, event, None, at=make.moment("Tue 23:00"))
    assert [row.racquets for row in whole.throughput_by_day] == [9, 1]
    assert whole.summary.racquets_strung == 10
    assert whole.title == "Event so far, 2 days"
    assert sum(row.strung for row in whole.throughput_by_hour) == 10


def test_the_first_day_is_compared_with_the_same_weekday_of_the_year_before(session):
    earlier = make.make_event(session, name="Testfield Open 2030", first_day=date(2030, 5, 13), days=2)
    ten_jobs(session, earlier)
    event = make.make_event(session, name="Testfield Open 2031", days=2)
    report = monday(session, event)
    assert report.comparison.before_title == "Monday 13 May 2030 of Testfield Open 2030 up to 22:00"
    assert [(row.now, row.before) for row in report.comparison.rows[:2]] == [(0, 9), (0, 6)]


def test_another_tournament_is_no_comparison(session):
    ten_jobs(session, make.make_event(session, name="Elsewhere Cup", first_day=date(2030, 5, 13), days=2))
    event = make.make_event(session, name="Testfield Open", days=2)
    assert monday(session, event).comparison is None


def test_payment_of_tuesday_is_received_on_tuesday(session):
    event = make.make_event(session, days=2)
    desk = ten_jobs(session, event)
    desk.pay(desk.players["Bruno"], 5000, "Tue 09:00")
    assert monday(session, event, "Tue 12:00").summary.received_minor == 7000
    tuesday = usage_report(session, event, date(2031, 5, 13), at=make.moment("Tue 12:00"))
    whole = usage_report(session, event, None, at=make.moment("Tue 12:00"))
    figures = ("brought_forward_minor", "charged_minor", "received_minor", "carried_forward_minor")
    assert [getattr(tuesday.summary, name) for name in figures] == [22_000, 0, 5000, 17_000]
    assert [(row.payer, row.note) for row in tuesday.charges if row.note] == [("Bruno", "received cash €50.00")]
    assert whole.summary.received_minor == 12_000


def test_a_day_that_the_event_has_not_is_refused(session):
    event = make.make_event(session, days=2)
    with pytest.raises(NotFound, match="2031-06-01 is no day of Testfield Open; it runs from 2031-05-12 to"):
        usage_report(session, event, date(2031, 6, 1), at=make.moment("Mon 12:00"))


def test_statements_are_as_many_for_two_jobs_as_for_forty(database):
    counts = []
    with database.writing() as session:
        event = make.make_event(session, days=2)
        desk = ten_jobs(session, event)
        for more in (0, 30):
            for number in range(more):
                job = desk.take_in(desk.player(f"Player {number}"), "17:00", needed="20:00", promised=("19:00",))
                desk.string(job, "17:10", "17:30", 0.5)
            session.expire_all()
            with statements(session) as seen:
                usage_report(session, event, None, at=make.moment("Tue 12:00"))
            counts.append(len(seen))
    assert counts[0] == counts[1]


def test_times_of_the_sheet_are_the_event_s_own(report):
    assert report.jobs[0].dropped_off_at == datetime(2031, 5, 12, 9, 0)
    assert report.zone_name == "Europe/Vienna"


def test_the_team_s_sheet_is_the_basis_for_pay(session):
    event = make.make_event(session, days=2)
    desk = ten_jobs(session, event)
    set_rate(session, event.id, desk.stringers[0].id, 650, per="racquet", acting=make.acting())
    set_rate(session, event.id, desk.stringers[1].id, 1200, per="hour", acting=make.acting())
    rows = [
        (row.stringer, row.racquets, row.on_court, row.busy_min, row.at_work_min, row.pay_minor)
        for row in monday(session, event).team
    ]
    assert rows == [
        ("Stringer 1", 4, 1, 94.0, 780.0, 2600),  # 4 x 6.50
        ("Stringer 2", 5, 1, 127.0, 780.0, 15_600),  # 13 h x 12.00
    ]


def test_string_is_counted_as_it_is_bought(session):
    """Off the reel in metres, off sets in halves; what the players bring stands apart."""
    event = make.make_event(session, days=2)
    desk = ten_jobs(session, event)
    string = desk.reel.string_type
    alma = desk.players["Alma"]
    theirs = make.make_reel(session, string, kind="set", owner_id=alma.id, metres=12.0)
    ours = make.make_reel(session, string, kind="set", metres=12.0)
    job = desk.take_in(alma, "17:00")
    desk.string(job, "17:10", "17:30", 0.0, labour=0)
    for reel, part in ((theirs, "mains"), (ours, "crosses")):
        cut = {"metres": -6.0, "part": part, "job_id": job.id, "kind": "use"}
        session.add(ReelEntry(reel_id=reel.id, at=job.finished_at, by="bench", **cut))
    session.flush()
    rows = {row.owner: row for row in monday(session, event).string}
    assert (rows["desk"].reel_m, rows["desk"].sets, rows["desk"].left_sets) == (101.5, 0.5, 0.5)
    assert (rows["desk"].reels_opened, rows["desk"].sets_opened, rows["desk"].left_m) == (1, 1, 96.0)
    assert (rows["players"].reel_m, rows["players"].sets) == (0.0, 0.5)
    for row, said in ((rows["desk"], "no price known"), (rows["players"], "players’ own")):
        assert (row.opened_minor, row.used_minor, row.waste_minor, row.left_minor) == (None,) * 4
        assert row.without_price == said


def test_string_is_valued_by_what_its_reels_and_sets_cost(session):
    """200 m for 100.00 and a set of 12 m for 9.00: 101.5 m and 6 m in racquets, 2 m spoiled, 96 m and 6 m left."""
    event = make.make_event(session, days=2)
    desk = ten_jobs(session, event)
    desk.reel.price_minor = 10_000
    ours = make.make_reel(session, desk.reel.string_type, kind="set", metres=12.0, price_minor=900)
    theirs = make.make_reel(session, desk.reel.string_type, kind="set", owner_id=desk.players["Alma"].id, metres=12.0)
    job = desk.take_in(desk.players["Alma"], "17:00")
    desk.string(job, "17:10", "17:30", 0.0, labour=0)
    for reel, part in ((theirs, "mains"), (ours, "crosses")):
        cut = {"metres": -6.0, "part": part, "job_id": job.id, "kind": "use"}
        session.add(ReelEntry(reel_id=reel.id, at=job.finished_at, by="bench", **cut))
    session.flush()
    row, other = monday(session, event).string
    assert row.opened_minor == 10_900
    assert row.used_minor == 5525  # 101.5 x 0.50 + 6 x 0.75
    assert row.waste_minor == 100  # 2 x 0.50
    assert row.left_minor == 5250  # 96 x 0.50 + 6 x 0.75; the half metre that measuring missed is nowhere
    assert (row.without_price, other.without_price) == ("", "players’ own")
    make.make_reel(session, desk.reel.string_type, code="R77")
    (row, _) = monday(session, event).string
    assert (row.used_minor, row.left_minor, row.without_price) == (5525, None, "R77")
