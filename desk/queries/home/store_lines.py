"""Lines of the home screen that no single plan explains: string, machines, racquets left lying."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from desk.queries.counter.pickup import Uncollected
from desk.queries.machines.machines import MachineRow
from desk.queries.machines.readings_due import ReadingsDue
from desk.queries.machines.wear import WearRow
from desk.queries.plan.expected_ends import Overdue
from desk.queries.plan.plan_rows import PlanBoard
from desk.queries.row_making import grouped
from desk.queries.string.foresight import CannotString, Foresight
from desk.trade.event.event_settings import CLUB_WEEKEND, TOURNAMENT
from desk.trade.play.needed_by import A_LITTLE_MIN
from desk.trade.racquet.reel_choice import SETS
from desk.trade.racquet.set_count import BY_THE_REEL, Later, pieces_for
from exports.summary import counted

LEFT_LYING = {TOURNAMENT: timedelta(hours=1), CLUB_WEEKEND: timedelta(days=1)}
"""From when on somebody is reminded of a racquet that is ready, by the kind of event (common practice)."""


@dataclass(frozen=True, kw_only=True)
class HomeLine:
    """One thing that needs somebody; `at` is the time that counts for it, None where there is none.

    `at_word` says what time that is; `late_minutes` counts past the latest, for a promise past `at`.
    `job_code`, `player_id` and `is_of` (its kind and number) say what it is about, as far as it is about one.
    `tell_at` is the time that would be told now.
    """

    group: str
    name: str
    text: str
    at: datetime | None = None
    at_word: str = ""
    late_minutes: int = 0
    job_code: str = ""
    player_id: int | None = None
    is_of: tuple[str, int | None] = ("", None)
    job_id: int | None = None
    tell_at: datetime | None = None

    @property
    def is_a_little(self) -> bool:
        return self.late_minutes < A_LITTLE_MIN


def shortages(ahead: Foresight) -> list[list[CannotString]]:
    """Return the racquets that one missing string keeps from being strung, where it keeps several."""
    by_string = grouped(((job.string_name, job.own_string), job) for job in ahead.cannot_string)
    return [jobs for jobs in by_string.values() if len(jobs) > 1]


def shortage_line(jobs: list[CannotString]) -> HomeLine:
    """Return the one line of all racquets that one missing string keeps waiting."""
    need_m = sum(job.need_m for job in jobs)
    whose = "the players’ own string" if jobs[0].own_string else "the desk’s string"
    sold = jobs[0].sold if jobs[0].sold.kind in SETS else BY_THE_REEL
    wanted = Later(halves=sum(job.wanted.halves for job in jobs), metres=need_m)
    what = f"{len(jobs)} racquets wait for {whose}: {need_m:.0f} m, {sold.counted(pieces_for(sold, wanted))}."
    at = min((job.planned_at for job in jobs if job.planned_at is not None), default=None)
    return HomeLine(group="string", at=at, at_word="planned from", name=jobs[0].string_name, text=what)


def string_lines(ahead: Foresight) -> Iterator[HomeLine]:
    """Return a line for each racquet or reel whose string runs out by itself."""
    together = {job.job_code for jobs in shortages(ahead) for job in jobs}
    for job in ahead.cannot_string:
        if job.state != "held" and job.job_code not in together:
            at, name = job.planned_at, job.player_name
            yield HomeLine(group="string", at=at, at_word="planned", name=name, text=job.reason, job_code=job.job_code)
    for reel in sorted(ahead.reels, key=lambda reel: (reel.runs_out_at is None, reel.runs_out_at, reel.code)):
        if reel.runs_out and not reel.then:
            has = f"{reel.kind.capitalize()} {reel.code} has {reel.left_m:g} m"
            text = f"{has}; {reel.left_after_m:g} m after {reel.racquets} racquets."
            at, name = reel.runs_out_at, reel.string_name
            yield HomeLine(group="string", at=at, at_word="runs out", name=name, text=text)


def machine_lines(rows: list[MachineRow]) -> Iterator[HomeLine]:
    """Return the machines out of service or too far off."""
    for row in rows:
        if row.failed:
            yield HomeLine(group="machine", name=row.name, text=row.reason)
        if row.out_since is not None and row.back_at is None:
            yield HomeLine(group="machine", at=row.out_since, at_word="out since", name=row.name, text=f"{row.reason}.")


def reading_line(due: ReadingsDue, board: PlanBoard) -> Iterator[HomeLine]:
    """Return one line for the machines that wait for their reading, with the racquets that wait for nothing else."""
    if not due.names:
        return
    held_up = [block for row in board.rows for block in row.blocks if block.standing == "reading"]
    names = [
        f"{one} (repaired or moved at {board.clock(at)})" if (at := due.back_at.get(one)) else one for one in due.names
    ]
    text = f"No racquet is planned there before it is read: {', '.join(names)}."
    if held_up:
        text = f"{text} {counted(len(held_up), 'racquet')} {'waits' if len(held_up) == 1 else 'wait'} for nothing else."
    needed = min((block.needed_by_at for block in held_up if block.needed_by_at is not None), default=None)
    name = counted(len(due.names), "machine")
    yield HomeLine(group="reading", at=needed, at_word="first needed by", name=name, text=text)


def care_lines(rows: Sequence[WearRow]) -> Iterator[HomeLine]:
    """Return the checks of machines that are due, all as one line."""
    due = [row for row in rows if row.due]
    if due:
        checks = "; ".join(f"{row.name}: {', '.join(check.name.lower() for check in row.due)}" for row in due)
        yield HomeLine(group="care", name=counted(len(due), "machine"), text=f"Due by racquets or hours: {checks}.")


def expected_line(one: Overdue, late: list[str], counted: str) -> HomeLine:
    """Return what was to be back, when it is counted with now, and which racquets come late for it."""
    hurt = f" Late with it: {' '.join(late)}." if late else ""
    text = f"was to be back, and nobody has said so; counted with from {counted}.{hurt}"
    return HomeLine(
        group="expected", at=one.at, at_word="expected", name=one.name, text=text, is_of=(one.kind, one.subject_id)
    )


def mishap_lines_of(count: int) -> Iterator[HomeLine]:
    """Return one line for everything that went wrong and is open."""
    if count:
        text = "went wrong with a racquet; open until somebody says what was done."
        yield HomeLine(group="mishap", name=counted(count, "thing"), text=text)


def word_lines_of(count: int) -> Iterator[HomeLine]:
    """Return one line for all that should have been told and did not arrive, or may not have."""
    if count:
        text = "did not arrive, or may not have; look what helps."
        yield HomeLine(group="word", name=counted(count, "message"), text=text)


def pickup_lines(waiting: list[Uncollected], at: datetime, kind: str) -> Iterator[HomeLine]:
    """Return whose racquets have been ready for long at an event of this KIND and are not collected."""
    for one in waiting:
        if at - one.since_at >= LEFT_LYING[kind]:
            call = f". Call {one.phone}" if one.phone else ""
            text = f"{counted(len(one.codes), 'racquet')}: {' '.join(one.codes)}{call}"
            about = {"name": one.player, "text": text, "player_id": one.player_id}
            yield HomeLine(group="pickup", at=one.since_at, at_word="ready since", **about)
