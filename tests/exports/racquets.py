"""Racquets of an invented event, and what is counted of them."""

import random
from dataclasses import fields
from datetime import date, datetime, timedelta
from statistics import fmean
from typing import Any

from exports.rows.jobs import JobRow
from exports.units import Tension
from tests.exports.make import blank, make_job

STRINGERS = ("Mira Tolland", "Jonas Pike", "Adaeze Wren", "Tom Harrow", "Li Sand")
STRINGS = ("Polyester A 1.25", "Polyester B 1.20", "Nylon multifilament C 1.30", "Natural gut D 1.30")
NOT_YET = ("started_at", "ready_at", "handed_over_at", "bench_min", "stringer", "machine", "string_m", "charge_minor")


def draw(pick: random.Random, number: int, day: date, players: list[str]) -> JobRow:
    """The racquet of this number, on a day."""
    dropped = datetime(day.year, day.month, day.day, 8) + timedelta(minutes=int(pick.triangular(0, 720, 180)))
    on_court = pick.random() < 0.07
    started = dropped + timedelta(minutes=3 if on_court else int(pick.triangular(5, 150, 40)))
    bench = round(pick.gauss(14 if on_court else 22, 3))
    ready = started + timedelta(minutes=bench)
    needed = dropped + timedelta(minutes=25 if on_court else int(pick.triangular(60, 400, 170)))
    mains = pick.choice(STRINGS)
    crosses = pick.choice(STRINGS) if pick.random() < 0.3 else mains
    unit = "kg" if pick.random() < 0.5 else "lb"
    tension = round(pick.gauss(24, 1.5) * 2) / 2 if unit == "kg" else round(pick.gauss(52, 3) * 2) / 2
    open_still, uncollected = number % 28 == 27, number % 21 == 20
    player, racquet = players[pick.randrange(len(players))], str(1 + pick.randrange(6))
    what = {
        "tag": f"{chr(65 + number // 100 % 26)}{number % 100:02}{'' if number < 2600 else number // 2600}",
        "player": player,
        "racquet": racquet,
        "state": "waiting" if open_still else "strung" if uncollected else "handed over",
        "on_court": on_court,
        "dropped_off_at": dropped,
        "needed_by_at": needed,
        "promised_at": needed - timedelta(minutes=10),
        "mains": mains,
        "mains_tension": Tension(value=tension, unit=unit),
        "crosses": crosses,
        "crosses_tension": Tension(value=tension - (2 if unit == "lb" else 1), unit=unit),
        "knots": 4 if crosses != mains else 2,
    }
    if open_still:
        return make_job(**what, **dict.fromkeys(NOT_YET))
    stringer = pick.choice(STRINGERS)
    return make_job(
        **what,
        started_at=started,
        ready_at=ready,
        handed_over_at=None if uncollected else ready + timedelta(minutes=15),
        bench_min=float(bench),
        stringer=stringer,
        machine=f"Bench {STRINGERS.index(stringer) + 1}",
        string_m=round(pick.uniform(10.8, 12.2), 1),
        charge_minor=2000 + 1500 * (mains[0] == "P"),
    )


def row_of(job: JobRow, kind: type[Any], **over: Any) -> Any:
    """A row of this kind that says the same of the job, but for OVER."""
    same = {one.name: getattr(job, one.name) for one in fields(kind) if hasattr(job, one.name)}
    return blank(kind, **(same | over))


def pounds(value: float) -> Tension:
    return Tension(value=value, unit="lb")


def hour(at: datetime | None) -> datetime | None:
    return at and at.replace(minute=0, second=0)


def minutes(job: JobRow) -> float:
    assert job.ready_at
    return (job.ready_at - job.dropped_off_at).total_seconds() / 60


def spare(job: JobRow) -> float:
    assert job.needed_by_at and job.ready_at
    return (job.needed_by_at - job.ready_at).total_seconds() / 60


def metres(done: list[JobRow]) -> float:
    return sum(job.string_m or 0 for job in done)


def charged(done: list[JobRow]) -> int:
    return sum(job.charge_minor or 0 for job in done)


def within_target(done: list[JobRow]) -> int:
    return sum((job.bench_min or 0) <= 30 for job in done)


def bench_mean(done: list[JobRow]) -> float | None:
    return fmean(job.bench_min or 0 for job in done) if done else None


def on_court(done: list[JobRow]) -> dict[str, Any]:
    court = [minutes(job) for job in done if job.on_court]
    return {"on_court": len(court), "on_court_mean_min": fmean(court) if court else None}


def benched(done: list[JobRow]) -> dict[str, Any]:
    """What is counted of a stringer and of a machine alike."""
    return {
        "racquets": len(done),
        "on_court": sum(job.on_court for job in done),
        "busy_min": sum(job.bench_min or 0 for job in done),
        "bench_mean_min": bench_mean(done),
    }


def due(done: list[JobRow]) -> dict[str, int]:
    late = [-spare(job) for job in done if spare(job) < 0]
    return {
        "with_needed_by": len(done),
        "on_time": len(done) - len(late),
        "late_up_to_5": sum(by <= 5 for by in late),
        "late_up_to_15": sum(5 < by <= 15 for by in late),
        "late_up_to_30": sum(15 < by <= 30 for by in late),
        "late_more": sum(by > 30 for by in late),
        "promises_made": len(done),
        "promises_kept": sum(spare(job) >= 10 for job in done),
    }


def owed(done: list[JobRow]) -> int:
    """What the fourth player, by name, has not paid."""
    fourth = sorted({job.player for job in done})[3:4]
    return charged([job for job in done if job.player in fourth])
