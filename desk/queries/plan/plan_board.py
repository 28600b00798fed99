"""The plan in force, as a board: a row a stringer, a block a racquet, what waits, what is wrong."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import QUICK, Absence, Assignment, Event, Job, Machine, Outage, PlanRun, Player, Racquet, Stringer
from desk.queries.event.events import names_by_id
from desk.queries.machines.readings_due import ReadingsDue, readings_due
from desk.queries.plan.kept_order import in_order, place_words
from desk.queries.plan.plan_rows import BEING_PLANNED, BenchRow, Beside, Block, Gap, PlanBoard, WrongLine
from desk.queries.plan.stranded import standing_still
from desk.queries.play.play_records import clock_of
from desk.queries.row_making import grouped, row_of
from desk.queries.spans import OPEN_END, gap
from desk.queries.team.team import stringers_of
from desk.trade.event.event_time import span
from desk.trade.play.needed_by import A_LITTLE_MIN, minutes_late, minutes_past, standing


def plan_board(session: Session, event: Event, at: datetime) -> PlanBoard:
    """Return the board of the plan in force; the number of SQL statements is fixed."""
    run = None if event.current_run_id is None else session.get(PlanRun, event.current_run_id)
    machines = names_by_id(session, event, Machine)
    promised = newest_promises(session, event)
    jobs = _open_jobs(session, event)
    readings = readings_due(session, event, at)
    still = standing_still(session, event, at)
    blocks = _blocks(session, event, jobs, promised, machines, readings, still)
    placed = {block.job_id for row in blocks.values() for block in row}
    reasons = {} if run is None else run.reasons
    clock = clock_of(session, event)
    return PlanBoard(
        at=at,
        zone_clock=clock,
        made_at=None if run is None else run.made_at,
        is_current=event.change_number == event.planned_change_number,
        is_quick=run is not None and run.status == QUICK,
        total=0 if run is None else run.total,
        bound=0 if run is None else run.bound,
        rows=_rows(session, event, blocks, machines, at, readings),
        beside=_beside(jobs, placed, promised, reasons),
        wrong=_wrong(blocks, jobs, placed, reasons, lambda moment: clock.spoken(moment, at)),
    )


OpenJob = tuple[Job, str, int]


def newest_promises(session: Session, event: Event) -> dict[int, datetime]:
    """Return the promise in force of every job of the event by job id."""
    found = select(Job.id, Job.promised_at).where(Job.event_id == event.id)
    return {job_id: at for job_id, at in session.execute(found) if at is not None}


def _open_jobs(session: Session, event: Event) -> dict[int, OpenJob]:
    found = session.execute(
        select(Job, Player.called, Racquet.number)
        .join(Player, Player.id == Job.player_id)
        .join(Racquet, Racquet.id == Job.racquet_id)
        .where(Job.event_id == event.id, Job.state.in_(("waiting", "on_machine", "held")))
        .order_by(Job.serial)
    )
    return {job.id: (job, player, number) for job, player, number in found}


def _blocks(
    session: Session,
    event: Event,
    jobs: dict[int, OpenJob],
    promised: dict[int, datetime],
    machines: dict[int, str],
    readings: ReadingsDue,
    still: Mapping[int, str],
) -> dict[int, list[Block]]:
    homes = dict(session.execute(select(Stringer.id, Stringer.home_machine_id)).all())
    rows = session.scalars(
        select(Assignment).where(Assignment.run_id == event.current_run_id).order_by(Assignment.start_at)
    )
    blocks: dict[int, list[Block]] = defaultdict(list)
    for row in rows:
        if row.job_id in jobs and jobs[row.job_id][0].state != "held":
            away = homes.get(row.stringer_id) not in (None, row.machine_id)
            block = _block(row, jobs[row.job_id], promised.get(row.job_id), machines, away)
            waits = readings.hold_up(row.start_at, jobs[row.job_id][0].not_before_at)
            mark = ("still", "nobody works on it") if row.job_id in still else ("reading", "waits for a reading")
            blocks[row.stringer_id].append(_untimed(block, *mark) if waits or row.job_id in still else block)
    return {stringer_id: _with_places(row, jobs) for stringer_id, row in blocks.items()}


def _untimed(block: Block, standing: str, mark: str) -> Block:
    return replace(block, late_min=0, broken_min=0, standing=standing, mark=mark)


def _with_places(blocks: list[Block], jobs: dict[int, OpenJob]) -> list[Block]:
    order = [in_order(*jobs[block.job_id]) for block in blocks if block.state == "waiting"]
    at = {one.job_id: number for number, one in enumerate(order)}
    return [replace(one, kept=place_words(order, at[one.job_id])) if one.job_id in at else one for one in blocks]


def _block(
    row: Assignment, open_job: OpenJob, promised_at: datetime | None, machines: dict[int, str], away: bool
) -> Block:
    job, player, number = open_job
    late = minutes_late(row.end_at, job.needed_by_at, job.latest_at)
    broken = minutes_past(row.end_at, promised_at)
    of_block = standing(row.end_at, job.needed_by_at, job.latest_at)
    return row_of(
        Block,
        row,
        job,
        player=player,
        racquet_number=number,
        pinned=job.pinned_stringer_id is not None or job.pinned_machine_id is not None,
        kept="",
        machine=machines.get(row.machine_id, ""),
        away=away,
        promised_at=promised_at,
        late_min=late,
        broken_min=broken,
        standing=of_block,
        mark=_mark(of_block, late, broken),
    )


def _mark(block_standing: str, late: int, broken: int) -> str:
    if late:
        return f"late {span(late)}"
    if broken >= A_LITTLE_MIN:
        return f"promise broken by {span(broken)}"
    if broken:
        return f"{span(broken)} after the promise"
    return block_standing


def _rows(
    session: Session,
    event: Event,
    blocks: dict[int, list[Block]],
    machines: dict[int, str],
    at: datetime,
    readings: ReadingsDue,
) -> tuple[BenchRow, ...]:
    found = session.scalars(select(Outage).where(Outage.machine_id.in_(machines)).order_by(Outage.from_at))
    outages = grouped((outage.machine_id, _shown(outage, at)) for outage in found)
    out = {one for one, gaps in outages.items() if any(gap.holds(at) for gap in gaps)}
    out |= {one for one, name in machines.items() if name in readings.names}
    return tuple(
        BenchRow(
            stringer_id=person.id,
            name=person.name,
            home_machine=machines.get(person.home_machine_id or 0, ""),
            machine_id=None if person.home_machine_id in out else person.home_machine_id,
            shifts=tuple((shift.from_at, shift.to_at) for shift in person.shifts),
            absences=tuple(_shown(absence, at) for absence in person.absences),
            machine_out=tuple(outages[person.home_machine_id or 0]),
            blocks=tuple(blocks.get(person.id, ())),
        )
        for person in stringers_of(session, event)
    )


def _shown(one: Absence | Outage, at: datetime) -> Gap:
    start, end = gap(one, at)
    was_at = one.to_at if not one.over and one.to_at is not None and one.to_at <= at else None
    return Gap(from_at=start, to_at=None if end == OPEN_END else end, expected_at=was_at)


def _beside(
    jobs: dict[int, OpenJob], placed: set[int], promised: dict[int, datetime], reasons: dict[str, str]
) -> tuple[Beside, ...]:
    return tuple(
        row_of(
            Beside,
            job,
            job_id=job.id,
            player=player,
            racquet_number=number,
            promised_at=promised.get(job.id),
            reason=job.held_reason if job.state == "held" else reasons.get(job.plan_name, BEING_PLANNED),
        )
        for job, player, number in jobs.values()
        if job.id not in placed and job.state != "on_machine"
    )


def _wrong(
    blocks: dict[int, list[Block]],
    jobs: dict[int, OpenJob],
    placed: set[int],
    reasons: dict[str, str],
    clock: Callable[[datetime], str],
) -> tuple[WrongLine, ...]:
    lines: list[tuple[int, WrongLine]] = []
    for block in (block for row in blocks.values() for block in row):
        if block.is_in_trouble:
            reason = reasons.get(jobs[block.job_id][0].plan_name, "")
            sentence = f"{_trouble(block, clock)} {reason}".strip()
            weight = jobs[block.job_id][0].weight * block.late_min + block.broken_min
            lines.append((weight, _line(block.job_id, jobs, sentence, reason, block.end_at)))
    for job, _, _ in jobs.values():
        if job.id not in placed and job.state == "waiting" and job.plan_name in reasons:
            reason = reasons[job.plan_name]
            lines.append((10**6, _line(job.id, jobs, f"has no place in the plan. {reason}", reason)))
    return tuple(line for _, line in sorted(lines, key=lambda pair: (-pair[0], pair[1].job_id)))


def _line(
    job_id: int, jobs: dict[int, OpenJob], sentence: str, reason: str, end_at: datetime | None = None
) -> WrongLine:
    job, player, number = jobs[job_id]
    about = {"job_id": job.id, "code": job.code, "player": f"{player}, racquet {number}"}
    return WrongLine(**about, sentence=sentence, reason=reason, end_at=end_at)


def _trouble(block: Block, clock: Callable[[datetime], str]) -> str:
    end = clock(block.end_at)
    if block.late_min and block.too_late_at is not None:
        return f"is ready at {end}, {span(block.late_min)} late: too late from {clock(block.too_late_at)}."
    if block.promised_at is not None:
        return f"is ready at {end}, {span(block.broken_min)} after the promise of {clock(block.promised_at)}."
    return f"is ready at {end}."
