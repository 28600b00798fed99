"""The whole report of a day, or of the event so far."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session, selectinload

from desk.models import DayCorrection, DayOpening, Event, Job, Machine, StateChange, Stringer
from desk.queries.close.checks import Counted, cross_checks
from desk.queries.close.closed import corrections, kept_figures, reopenings, signed_before
from desk.queries.close.comparison import compare
from desk.queries.close.facts import Facts, cancelled_in, read_facts, states_at_end
from desk.queries.close.figures import Done, Kept, day_rows, summary
from desk.queries.close.job_rows import (
    JobTables,
    bench_time_rows,
    carried_over_rows,
    job_rows,
    needed_by_rows,
    uncollected_rows,
)
from desk.queries.close.money_of_span import read_accounts
from desk.queries.close.span import UsageSpan, after_the_event, day_span, event_span, usage_spans
from desk.queries.close.string_bought import pattern_rows, string_rows
from desk.queries.close.string_rows import (
    calibration_rows,
    material_rows,
    orders,
    reel_usage,
    shown_reels,
    tension_rows,
)
from desk.queries.close.throughput import hour_rows, machine_rows, stringer_rows, team_rows
from desk.queries.mishaps.mishap_figures import mishap_rows
from desk.queries.money.invoices import InvoiceRow as MadeInvoice
from desk.queries.money.invoices import invoice_name, invoice_rows
from desk.queries.play.play_records import clock_of
from desk.trade.event.event_time import EventClock
from exports.report import UsageReport
from exports.rows import InvoiceRow
from exports.summary import day_text


def usage_report(session: Session, event: Event, day: date | None, *, at: datetime) -> UsageReport:
    """Return everything that the usage sheet says of a DAY, or without one of the event so far.

    Definitions stand with the functions that count: `figures.Done` and `figures.summary` (racquets,
    on time, promises, redo, carried over, paid), `job_rows`, `throughput`, `string_rows`, `accounts`.
    The number of SQL statements does not depend on the number of jobs.

    Parameters
    ----------
    day : date or None
        A day of the event; None for its beginning up to AT.
    at : datetime
        The present, in UTC: what waits is counted up to then, or to the end of a day that is over. An event
        that was played ahead of its time is reported as of the last thing recorded.

    Raises
    ------
    NotFound
        When the event has no days, or not this one.
    Conflict
        When an amount is in another currency than the event.
    """
    at = max(at, _last_change(session, event) or at)
    span = event_span(session, event, at) if day is None else day_span(session, event, day, at)
    return _Report(session, event, span, at).whole(is_day=day is not None)


def _last_change(session: Session, event: Event) -> datetime | None:
    found = select(func.max(StateChange.at)).join(Job, Job.id == StateChange.job_id).where(Job.event_id == event.id)
    return session.scalar(found)


class _Report:
    def __init__(self, session: Session, event: Event, span: UsageSpan, at: datetime) -> None:
        self.session, self.event, self.span, self.at = session, event, span, at
        self.clock: EventClock = clock_of(session, event)
        self.facts: Facts = read_facts(session, event)
        self.done = Done(jobs=self.facts.finished(span))
        self.kept = Kept.of(self.facts, span)
        self.every_day = usage_spans(session, event, at)
        self.states = states_at_end(session, event, span, self.facts)
        self.cancelled = cancelled_in(session, event, span) & _in_state(self.states, "cancelled")
        self.covered = [one for one in self.every_day if one.day in span.dates]
        if span.from_at is None and span.to_at is None:
            self.covered += after_the_event(self.every_day, at)
        self.accounts = read_accounts(session, event, span, self.covered)
        self.reels = reel_usage(session, event, span)
        self.waste_m = round(sum(row.waste_m for row in self.reels), 2)
        self.mishaps = mishap_rows(session, event, span, self.facts, self._machines())

    def whole(self, *, is_day: bool) -> UsageReport:
        figures = summary(self.event, self.done, self.kept, self.states, self.cancelled, self.waste_m, self.accounts)
        figures = replace(figures, mishaps=sum(row.noted for row in self.mishaps if row.group == "kind"))
        return UsageReport(
            event_name=self.event.name,
            town=self.event.town,
            title=self._title(is_day=is_day),
            days=self.span.dates,
            zone_name=self.event.time_zone,
            currency=self.event.currency,
            made_at=self._wall(self.at),
            **self._closing(),
            summary=figures,
            **self._signed(kept_figures(figures, shown_reels(self.reels))),
            comparison=compare(self.session, self.event, self.facts, self.every_day, self.span),
            **self._throughput(),
            **self._jobs(),
            **self._string(),
            **self._money(),
            mishaps=self.mishaps,
        )

    def _title(self, *, is_day: bool) -> str:
        if is_day:
            return day_text(self.span.dates[0])
        count = len(self.span.dates)
        return f"Event so far, {count} day{'' if count == 1 else 's'}"

    def _closing(self) -> dict[str, Any]:
        last = max((day for day in self.span.days if day.closed_at), key=lambda day: day.closed_at, default=None)
        closed = all(day.closed_at for day in self.span.days)
        if not closed or last is None or last.closed_at is None:
            return {"closed": False}
        return {"closed": True, "closed_at": self._wall(last.closed_at), "closed_by": last.closed_by}

    def _signed(self, now: dict[str, float | None]) -> dict[str, Any]:
        ids = [day.id for day in self.span.days]
        found = select(DayOpening).where(DayOpening.day_id.in_(ids)).order_by(DayOpening.id)
        openings, currency = self.session.scalars(found).all(), self.event.currency
        return {
            "reopenings": reopenings(openings, self._wall),
            "signed_before": signed_before(self.span, openings, now, self._wall, currency),
            "corrections": corrections(self.span, self._noted(), now, self._wall, currency),
        }

    def _noted(self) -> Sequence[DayCorrection]:
        ids = [day.id for day in self.span.days]
        found = select(DayCorrection).where(DayCorrection.day_id.in_(ids)).order_by(DayCorrection.id)
        return self.session.scalars(found).all()

    def _throughput(self) -> dict[str, Any]:
        self.hours = hour_rows(self.facts, self.covered, self.clock)
        target = float(self.event.target_minutes)
        return {
            "throughput_by_hour": self.hours,
            "throughput_by_day": day_rows(self.facts, self.covered),
            "throughput_by_stringer": stringer_rows(self.done, self._stringers(), self.span, target),
            "team": team_rows(self.facts, self._stringers(), self.covered, self.event.currency),
            "throughput_by_machine": machine_rows(self.done, self._machines(), self.span),
        }

    def _jobs(self) -> dict[str, Any]:
        tables = JobTables(
            event=self.event,
            facts=self.facts,
            span=self.span,
            clock=self.clock,
            states=self.states,
            cancelled=self.cancelled,
            charged=self.accounts.by_job,
        )
        jobs = tables.listed()
        return {
            "jobs": job_rows(tables, jobs),
            "needed_by": needed_by_rows(tables, jobs, self.kept.needed),
            "time_on_bench": bench_time_rows(tables, self.done.jobs),
            "carried_over": carried_over_rows(tables, jobs),
            "uncollected": uncollected_rows(tables),
        }

    def _string(self) -> dict[str, Any]:
        counted = Counted(
            done=self.done,
            kept=self.kept,
            hours=self.hours,
            states=self.states,
            reels=self.reels,
            waste_m=self.waste_m,
            accounts=self.accounts,
            mishaps=self.mishaps,
        )
        return {
            "string": string_rows(self.session, self.event, self.span),
            "metres_by_pattern": pattern_rows(self.done.jobs),
            "reels": shown_reels(self.reels),
            "to_order": orders(self.session, self.event, self.at),
            "tensions": tension_rows(self.facts, self.done.jobs),
            "materials": material_rows(self.facts, self.done.jobs),
            "calibration": calibration_rows(self.session, self.event, self.span, self._machines(), self._wall),
            "cross_checks": cross_checks(self.session, self.event, self.span, counted),
        }

    def _money(self) -> dict[str, Any]:
        made = (row for row in invoice_rows(self.session, self.event) if self.span.holds(row.at))
        return {
            "money_by_day": self.accounts.days,
            "taxes": self.accounts.taxes,
            "charges": self.accounts.rows,
            "invoices": tuple(self._invoice(row) for row in made),
            "prize_money": self.accounts.prize_money,
        }

    def _invoice(self, row: MadeInvoice) -> InvoiceRow:
        return InvoiceRow(
            number=invoice_name(self.event, row.number),
            made_at=self._wall(row.at),
            player=row.player,
            payer=row.payer.replace("\n", ", "),
            currency=self.event.currency,
            net_minor=row.gross_minor - row.tax_minor,
            tax_minor=row.tax_minor,
            gross_minor=row.gross_minor,
        )

    def _stringers(self) -> Sequence[Stringer]:
        found = (
            select(Stringer)
            .where(Stringer.event_id == self.event.id)
            .order_by(Stringer.position, Stringer.code)
            .options(selectinload(Stringer.shifts), selectinload(Stringer.absences))
        )
        return self.session.scalars(found).all()

    def _machines(self) -> Sequence[Machine]:
        found = (
            select(Machine)
            .where(Machine.event_id == self.event.id)
            .order_by(Machine.position, Machine.code)
            .options(selectinload(Machine.outages))
        )
        return self.session.scalars(found).all()

    def _wall(self, at: datetime) -> datetime:
        return self.clock.local(at).replace(tzinfo=None, second=0, microsecond=0)


def _in_state(states: dict[int, str], state: str) -> set[int]:
    return {job_id for job_id, one in states.items() if one == state}
