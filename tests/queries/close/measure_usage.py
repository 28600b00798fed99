"""How long the usage sheet of a large event takes: `python -m tests.queries.close.measure_usage [JOBS] [DAYS]`.

Fills empty records with an invented event, then reads and writes its sheet as the export command does and
prints seconds and the most memory of the process. No test: it measures the machine as well.
"""

import resource
import sys
import tempfile
import time
from datetime import timedelta
from pathlib import Path

from sqlalchemy import insert

from desk.models import Charge, DropOff, Event, HandOver, Job, JobCard, Promise, ReelEntry, StateChange
from desk.models.database import Database
from desk.queries.close import usage_report
from desk.queries.close.usage_files import usage_bytes
from tests import make
from tests.queries.close.ten_jobs import Bench


def main(jobs: int = 6000, days: int = 15) -> None:
    with tempfile.TemporaryDirectory() as folder:
        database = Database(f"sqlite:///{Path(folder) / 'large.sqlite'}")
        database.upgrade()
        with database.writing() as session:
            event_id = _fill(session, jobs, days)
        before = _peak_mb()
        with database.reading() as session:
            event = session.get_one(Event, event_id)
            start, cpu = time.perf_counter(), time.process_time()
            report = usage_report(session, event, None, at=event.days[-1].closes_at)
            read, read_cpu = time.perf_counter(), time.process_time() - cpu
        content = usage_bytes(report, ".xlsx")
        written, all_cpu = time.perf_counter(), time.process_time() - cpu
        differing = [row.figure for row in report.cross_checks if row.differs]
        print(f"{jobs} jobs on {days} days: {report.summary.racquets_strung} strung; totals that differ: {differing}")
        print(f"read {read - start:.1f} s ({read_cpu:.1f} s of computing), written {written - read:.1f} s")
        print(f"in all {written - start:.1f} s, {all_cpu:.1f} s of computing; {len(content) / 1e6:.1f} MB of workbook")
        print(f"most memory {_peak_mb()} MB, of those {before} MB before the report")
        database.dispose()


def _peak_mb() -> int:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024


def _fill(session, jobs: int, days: int) -> int:
    event = make.make_event(session, days=days)
    desk = Bench.set_up(session, event)
    make.make_stringer(session, event)
    players = [desk.player(f"Player {number}") for number in range(300)]
    racquets = [make.make_racquet(session, player) for player in players for _ in range(4)]
    rows: dict[type, list[dict]] = {
        table: [] for table in (DropOff, HandOver, Job, JobCard, Promise, StateChange, ReelEntry, Charge)
    }
    for number in range(1, jobs + 1):
        _add(rows, desk, racquets[number % len(racquets)], number, jobs, days)
    for table, found in rows.items():
        session.execute(insert(table), found)
    return event.id


def _add(rows, desk: Bench, racquet, number: int, jobs: int, days: int) -> None:
    day = desk.event.days[(number - 1) * days // jobs]
    dropped = day.opens_at + timedelta(minutes=number % 700)
    start, end, given = (dropped + timedelta(minutes=ahead) for ahead in (20, 43, 60))
    owner = {"event_id": desk.event.id, "player_id": racquet.player_id}
    rows[DropOff].append({"id": number, "at": dropped, "by": "desk", "request_key": f"key {number}", **owner})
    rows[HandOver].append({"id": number, "at": given, "by": "desk", "collected_by": "coach", **owner})
    bench = number % 2
    rows[Job].append(
        {
            "id": number, "drop_off_id": number, "racquet_id": racquet.id, "serial": number, "code": f"J{number}",
            "state": "handed_over", "dropped_at": dropped, "needed_by_at": end, "house_minutes": 22,
            "stringer_id": desk.stringers[bench].id, "machine_id": desk.machines[bench].id, "started_at": start,
            "finished_at": end, "hand_over_id": number, "on_court": number % 14 == 0, **owner,
        }
    )  # fmt: skip
    string = desk.reel.string_type_id
    card = {"mains_tension": 52, "crosses_tension": 50, "tension_unit": "lb"}
    rows[JobCard].append({"job_id": number, "mains_string_id": string, "crosses_string_id": string, **card})
    rows[Promise].append({"job_id": number, "ready_at": end, "given_at": dropped, "by": "desk"})
    states = (("", "waiting", dropped), ("waiting", "on_machine", start), ("on_machine", "strung", end))
    for before, after, at in (*states, ("strung", "handed_over", given)):
        rows[StateChange].append({"job_id": number, "at": at, "by": "desk", "from_state": before, "to_state": after})
    for part in ("mains", "crosses"):
        used = {"reel_id": desk.reel.id, "at": end, "by": "desk", "kind": "use", "metres": -5.7}
        rows[ReelEntry].append({"job_id": number, "part": part, **used})
    for kind in ("labour", "string"):
        owed = {"text": kind, "amount_minor": 2000, "currency": "EUR", "at": end, "by": "desk", "job_id": number}
        rows[Charge].append({"kind": kind, **owed, **owner})


if __name__ == "__main__":
    main(*(int(word) for word in sys.argv[1:]))
