"""Bench times from cards and finished jobs, and the lead's own figures over them."""

from datetime import timedelta
from typing import Any

import pytest
from sqlalchemy.orm import Session

from desk.errors import BadInput
from desk.models import Event, Frame, HouseTime, Job, Stringer
from desk.queries.bench.bench_times import HOUSE_KEYS, card_of_key, house_lines, house_minutes, pace_lines
from desk.services.bench import bench_times
from tests.make import (
    acting,
    make_event,
    make_frame,
    make_job,
    make_player,
    make_racquet,
    make_string,
    make_stringer,
    moment,
)


class Bench:
    """A quick and a slow stringer, an open and a dense frame."""

    def __init__(self, session: Session) -> None:
        self.session = session
        self.event: Event = make_event(session)
        self.player = make_player(session, self.event)
        self.open = make_frame(session, self.event, mains=16, crosses=19)
        self.dense = make_frame(session, self.event, mains=18, crosses=20)
        self.quick = make_stringer(session, self.event, name="Quick")
        self.slow = make_stringer(session, self.event, name="Slow")

    def job(self, frame: Frame | None = None, **over: Any) -> Job:
        racquet = make_racquet(self.session, self.player, frame=frame or self.open)
        return make_job(self.session, self.player, racquet=racquet, **over)

    def finished(self, stringer: Stringer, minutes: float, number: int = 1, **over: Any) -> None:
        started = moment("Mon 10:00")
        for _ in range(number):
            self.job(
                state="strung",
                stringer_id=stringer.id,
                started_at=started,
                finished_at=started + timedelta(minutes=minutes),
                **over,
            )
        self.event.change_number += 1

    def minutes(self, job: Job, **over: Any) -> int:
        return house_minutes(self.session, self.event, job.card, job.racquet.frame, **over)


@pytest.fixture
def bench(session: Session) -> Bench:
    return Bench(session)


def test_a_plain_card_takes_the_house_minutes(bench: Bench) -> None:
    # Common practice: three an hour at a major.
    assert bench.minutes(bench.job()) == 20


def test_a_dense_pattern_takes_a_quarter_longer(bench: Bench) -> None:
    # A stringers' certification allows 75 minutes against 60 for three.
    assert bench.minutes(bench.job(bench.dense)) == 25


def test_natural_gut_takes_up_to_half_an_hour(session: Session, bench: Bench) -> None:
    make_string(session, bench.event, material="polyester")
    gut = make_string(session, bench.event, material="natural_gut")
    both = bench.job(card={"mains_string_id": gut.id, "crosses_string_id": gut.id})
    half = bench.job(card={"mains_string_id": gut.id})
    # The same certification: natural gut up to 30 minutes; a hybrid with gut mains half way.
    assert [bench.minutes(both), bench.minutes(half)] == [30, 25]


def test_extra_work_and_pre_stretch_and_stencil_add_up(bench: Bench) -> None:
    card = {"extra_work": "grommets_and_grip", "mains_pre_stretch": 10, "stencil": "round"}
    # 20 minutes each for grommets and grip (certification), 2 each for pre-stretch and stencil (from memory).
    assert bench.minutes(bench.job(card=card)) == 20 + 20 + 20 + 2 + 2


def test_an_on_court_job_is_strung_faster(bench: Bench) -> None:
    # Press reports from majors: 12 to 15 minutes on the machine.
    assert bench.minutes(bench.job(), on_court=True) == 15


def test_finished_jobs_move_the_house_minutes_of_their_kind_only(bench: Bench) -> None:
    open_job, dense_job = bench.job(), bench.job(bench.dense)
    bench.finished(bench.quick, 26, number=10)
    bench.finished(bench.slow, 26, number=10)
    assert 20 < bench.minutes(open_job) <= 26
    assert bench.minutes(dense_job) == 25


def test_paces_are_learned_with_few_jobs_counting_little(session: Session, bench: Bench) -> None:
    bench.finished(bench.quick, 18, number=12)
    bench.finished(bench.slow, 22, number=12)
    third = make_stringer(session, bench.event, name="New")
    bench.finished(third, 30)
    assert bench_times.learn_paces(session, bench.event) == 3
    assert bench.quick.pace < 100 < bench.slow.pace
    assert 100 < third.pace < 110


def test_a_pace_that_was_entered_is_where_learning_begins(session: Session, bench: Bench) -> None:
    entered = make_stringer(session, bench.event, name="Entered", pace=118, pace_entered=118)
    assert bench_times.learn_paces(session, bench.event) == 0
    bench.finished(entered, 20)
    bench_times.learn_paces(session, bench.event)
    assert 114 <= entered.pace < 118
    line = next(line for line in pace_lines(session, bench.event) if line.name == "Entered")
    assert (line.entered, line.learned, line.pace) == (118, entered.pace, entered.pace)


def test_paces_that_did_not_change_count_as_no_change(session: Session, bench: Bench) -> None:
    bench.finished(bench.slow, 30, number=8)
    assert bench_times.learn_paces(session, bench.event) == 1
    before = bench.event.change_number
    assert bench_times.learn_paces(session, bench.event) == 0
    assert bench.event.change_number == before


def test_a_racquet_left_on_the_machine_over_lunch_counts_little_more_than_a_slow_one(session: Session) -> None:
    lunch, double = Bench(session), Bench(session)
    for bench, minutes in ((lunch, 95), (double, 40)):
        bench.finished(bench.slow, minutes)
        bench_times.learn_paces(session, bench.event)
    assert double.slow.pace <= lunch.slow.pace <= double.slow.pace + 3


def test_the_leads_minutes_stand_over_the_learned_ones_and_reach_waiting_jobs(session: Session, bench: Bench) -> None:
    waiting, begun = bench.job(house_minutes=20), bench.job(house_minutes=20, state="on_machine")
    bench.finished(bench.quick, 30, number=10)
    assert bench_times.overrule_minutes(session, bench.event.id, "open", 18, acting=acting()) == 1
    assert [waiting.house_minutes, begun.house_minutes] == [18, 20]
    assert bench.minutes(waiting) == 18


def test_the_leads_minutes_can_be_taken_back(session: Session, bench: Bench) -> None:
    job = bench.job()
    bench_times.overrule_minutes(session, bench.event.id, "open", 18, acting=acting())
    bench_times.overrule_minutes(session, bench.event.id, "open", 17, acting=acting())
    assert session.query(HouseTime).count() == 1
    bench_times.overrule_minutes(session, bench.event.id, "open", None, acting=acting())
    assert bench.minutes(job) == 20


@pytest.mark.parametrize("minutes", [0, 4, 121])
def test_minutes_beyond_reason_are_refused(session: Session, bench: Bench, minutes: int) -> None:
    with pytest.raises(BadInput, match="Give 5 to 120"):
        bench_times.overrule_minutes(session, bench.event.id, "open", minutes, acting=acting())


def test_a_row_that_is_not_in_the_table_is_refused(session: Session, bench: Bench) -> None:
    with pytest.raises(BadInput, match="choose one that is there"):
        bench_times.overrule_minutes(session, bench.event.id, "wooden", 20, acting=acting())


def test_the_leads_pace_stands_over_the_learned_one(session: Session, bench: Bench) -> None:
    bench.finished(bench.slow, 30, number=8)
    bench_times.overrule_pace(session, bench.event.id, bench.slow.id, 105, acting=acting())
    line = next(line for line in pace_lines(session, bench.event) if line.name == "Slow")
    assert (line.pace, line.overruled, line.jobs) == (105, 105, 8)
    assert line.learned > 105


@pytest.mark.parametrize("pace", [49, 201])
def test_a_pace_beyond_reason_is_refused(session: Session, bench: Bench, pace: int) -> None:
    with pytest.raises(BadInput, match="Give 50 to 200"):
        bench_times.overrule_pace(session, bench.event.id, bench.slow.id, pace, acting=acting())


def test_the_table_shows_every_row_with_its_jobs(session: Session, bench: Bench) -> None:
    bench.finished(bench.quick, 26, number=3)
    bench.finished(bench.slow, 26, number=3)
    bench_times.overrule_minutes(session, bench.event.id, "dense", 24, acting=acting())
    lines = {line.key: line for line in house_lines(session, bench.event)}
    assert list(lines) == list(HOUSE_KEYS)
    assert (lines["open"].default, lines["open"].jobs) == (20, 6)
    assert 20 < lines["open"].learned == lines["open"].minutes < 26
    assert (lines["dense"].default, lines["dense"].learned, lines["dense"].minutes) == (25, 25, 24)


@pytest.mark.parametrize("key", HOUSE_KEYS)
def test_each_row_of_the_table_has_a_card_that_belongs_to_it(key: str) -> None:
    assert card_of_key(key).key == key
