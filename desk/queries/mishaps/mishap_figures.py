"""What went wrong as figures of a usage sheet: by kind, by reel and by machine."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Event, Job, Machine, Mishap, Reel, ReelEntry
from desk.queries.close.facts import Facts
from desk.queries.close.span import UsageSpan
from desk.queries.mishaps.mishaps import breaks_often
from desk.queries.row_making import grouped
from desk.trade.mishaps import KINDS
from exports.rows.mishaps import MishapGroup, MishapRow

OF_MACHINE = ("string_broke", "wrong_tension")
"""What a machine may have done; what is lost or mixed up says nothing about it."""


def mishap_rows(
    session: Session, event: Event, span: UsageSpan, facts: Facts, machines: Sequence[Machine]
) -> tuple[MishapRow, ...]:
    """Return what went wrong by kind, by reel (strings that broke) and by machine (those and wrong tensions).

    Counted by the moment at which it was noted; a kind, reel or machine without any has no row.
    """
    found = select(Mishap).where(Mishap.event_id == event.id, span.until(Mishap.at)).order_by(Mishap.at, Mishap.id)
    rows = session.scalars(found).all()
    if not rows:
        return ()
    finished = {job.job_id for job in facts.jobs if span.is_known(job.finished_at)}
    return tuple(
        _row(span, group, name, of, len(jobs & finished))
        for group, name, of, jobs in (
            *_kinds(rows, finished),
            *_reels(session, event, facts, rows),
            *_machines(facts, machines, rows),
        )
        if of
    )


Counted = tuple[MishapGroup, str, list[Mishap], set[int]]


def _kinds(rows: Sequence[Mishap], finished: set[int]) -> Iterator[Counted]:
    for kind in KINDS.values():
        yield "kind", kind.words, [row for row in rows if row.kind == kind.key], finished


def _reels(session: Session, event: Event, facts: Facts, rows: Sequence[Mishap]) -> Iterator[Counted]:
    broke = [row for row in rows if row.kind == "string_broke"]
    found = (
        select(Reel.id, Reel.code, Reel.string_type_id, ReelEntry.job_id)
        .join(ReelEntry, ReelEntry.reel_id == Reel.id)
        .join(Job, Job.id == ReelEntry.job_id)
        .where(Job.event_id == event.id, Reel.kind == "reel", ReelEntry.kind == "use")
        .order_by(Reel.code, Reel.id)
    )
    cut = grouped(((row.id, row.code, row.string_type_id), row.job_id) for row in session.execute(found))
    for (_, code, string_id), of_reel in cut.items():
        jobs = set(of_reel)
        yield "reel", f"{code}, {facts.label(string_id)}", [row for row in broke if row.job_id in jobs], jobs


def _machines(facts: Facts, machines: Sequence[Machine], rows: Sequence[Mishap]) -> Iterator[Counted]:
    strung = grouped((job.machine_id, job.job_id) for job in facts.jobs)
    for machine in machines:
        jobs = set(strung[machine.id])
        yield "machine", machine.name, [row for row in rows if row.kind in OF_MACHINE and row.job_id in jobs], jobs


def _row(span: UsageSpan, group: MishapGroup, name: str, of: list[Mishap], racquets: int) -> MishapRow:
    noted = [row for row in of if span.holds(row.at)]
    return MishapRow(
        group=group,
        name=name,
        noted=len(noted),
        still_open=sum(not span.is_known(row.closed_at) for row in noted),
        strung_anew=sum(row.again_id is not None for row in noted),
        so_far=len(of),
        racquets=racquets,
        often=group == "reel" and breaks_often(len({row.job_id for row in of})),
    )
