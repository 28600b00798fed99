"""Promises that the plan will break: who hears of it, and what would keep them."""

import pytest

from desk.queries.promise.promises import BreakingPromise, promises_about_to_break
from tests.make import moment
from tests.services.promise.one_bench import OneBench


def breaking(bench: OneBench, at: str = "Mon 12:00") -> list[BreakingPromise]:
    return promises_about_to_break(bench.session, bench.event, moment(at))


def test_a_promise_that_the_plan_keeps_is_not_told(bench: OneBench) -> None:
    job = bench.job()
    bench.promise(job, "13:00")
    bench.plan([(job, "12:38", "13:00")])
    assert breaking(bench) == []


def test_a_promise_that_will_break_comes_with_who_could_wait(bench: OneBench) -> None:
    patient, job = bench.job(needed_by_at=moment("Mon 15:00")), bench.job()
    bench.promise(job, "12:50")
    bench.plan([(patient, "12:20", "12:42"), (job, "12:42", "13:04")], reasons={f"J{job.serial:04d}": "Two before it."})
    (row,) = breaking(bench)
    assert (row.code, row.player, row.late_minutes, row.let_wait) == (job.code, "A", 14, (patient.code,))
    assert (row.start_by_at, row.planned_end_at) == (moment("Mon 12:28"), moment("Mon 13:04"))
    assert row.to_keep == f"It must be on a machine by 12:28: let {patient.code} wait; that makes none of them late."
    assert (row.reason, row.stringer, row.machine) == ("Two before it.", bench.stringer.name, bench.machine.name)


def test_a_racquet_that_would_be_done_in_the_minute_it_is_needed_can_wait(bench: OneBench) -> None:
    patient, job = bench.job(needed_by_at=moment("Mon 13:04")), bench.job()
    bench.promise(job, "12:50")
    bench.plan([(patient, "12:20", "12:42"), (job, "12:42", "13:04")])
    (row,) = breaking(bench)
    assert row.let_wait == (patient.code,)


@pytest.mark.parametrize("needed", ["12:45", "13:03"])
def test_nobody_is_asked_to_wait_who_would_be_late_then(bench: OneBench, needed: str) -> None:
    tight, job = bench.job(needed_by_at=moment(f"Mon {needed}")), bench.job()
    bench.promise(job, "12:50")
    bench.plan([(tight, "12:20", "12:42"), (job, "12:42", "13:04")])
    (row,) = breaking(bench)
    assert row.let_wait == ()
    assert row.to_keep == (
        "It must be on a machine by 12:28: that takes another stringer or machine, or makes a racquet before it late."
    )


def test_a_promise_past_saving_asks_for_a_later_time(bench: OneBench) -> None:
    job = bench.job()
    bench.promise(job, "12:15")
    bench.plan([(job, "12:10", "12:32")])
    (row,) = breaking(bench)
    assert (row.start_by_at, row.to_keep) == (None, "It can no longer be kept; tell the player a later time.")


def test_a_racquet_that_the_plan_left_out_breaks_its_promise(bench: OneBench) -> None:
    job = bench.job()
    bench.promise(job, "13:00")
    bench.plan([])
    (row,) = breaking(bench)
    assert (row.planned_end_at, row.late_minutes, row.start_by_at) == (None, 0, moment("Mon 12:38"))


def test_a_racquet_that_came_after_the_plan_is_not_called_broken(bench: OneBench) -> None:
    bench.plan([])
    bench.promise(bench.job(), "13:00")
    assert breaking(bench) == []
