"""The whole report of a day, or of the event so far."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.models import DayCorrection, DayOpening, Event, Job, StateChange
from desk.queries.close.checks import cross_checks
from desk.queries.close.closed import corrections, kept_figures, reopenings, signed_before
from desk.queries.close.comparison import compare
from desk.queries.close.facts import Facts, cancelled_in, read_facts, states_at_end
from desk.queries.close.figures import Counted, Done, Kept, day_rows, summary
from desk.queries.close.job_rows import bench_time_rows, carried_over_rows, job_rows, needed_by_rows, uncollected_rows
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
from desk.queries.machines.machines import machines_of
from desk.queries.mishaps.mishap_figures import mishap_rows
from desk.queries.money.invoices import InvoiceRow as MadeInvoice
from desk.queries.money.invoices import invoice_name, invoice_rows
from desk.queries.play.play_records import clock_of
from desk.queries.row_making import row_of
from desk.queries.team.team import stringers_of
from exports.report import UsageReport
from exports.rows.money import InvoiceRow
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
        self.facts: Facts = read_facts(session, event)
        self.every_day = usage_spans(session, event, at)
        self.covered = [one for one in self.every_day if one.day in span.dates]
        if span.from_at is None and span.to_at is None:
            self.covered += after_the_event(self.every_day, at)
        self.people, self.machines = stringers_of(session, event), machines_of(session, event)
        self.counted = self._counted()

    def _counted(self) -> Counted:
        session, event, span, facts = self.session, self.event, self.span, self.facts
        clock, states = clock_of(session, event), states_at_end(session, event, span, facts)
        return Counted(
            event=event,
            span=span,
            clock=clock,
            facts=facts,
            done=Done(jobs=facts.finished(span)),
            kept=Kept.of(facts, span),
            states=states,
            cancelled={one for one in cancelled_in(session, event, span) if states.get(one) == "cancelled"},
            accounts=read_accounts(session, event, span, self.covered),
            reels=reel_usage(session, event, span),
            hours=hour_rows(facts, self.covered, clock),
            mishaps=mishap_rows(session, event, span, facts, self.machines),
        )

    def whole(self, *, is_day: bool) -> UsageReport:
        figures, reels = summary(self.counted), shown_reels(self.counted.reels)
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
            **self._signed(kept_figures(figures, reels)),
            comparison=compare(self.session, self.event, self.facts, self.every_day, self.span),
            **self._throughput(),
            **self._jobs(),
            reels=reels,
            **self._string(),
            **self._money(),
            mishaps=self.counted.mishaps,
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
        openings, noted, currency = self._of_days(DayOpening), self._of_days(DayCorrection), self.event.currency
        return {
            "reopenings": reopenings(openings, self._wall),
            "signed_before": signed_before(self.span, openings, now, self._wall, currency),
            "corrections": corrections(self.span, noted, now, self._wall, currency),
        }

    def _of_days(self, table: type[DayOpening] | type[DayCorrection]) -> Sequence[Any]:
        found = select(table).where(table.day_id.in_([day.id for day in self.span.days])).order_by(table.id)
        return self.session.scalars(found).all()

    def _throughput(self) -> dict[str, Any]:
        done, target = self.counted.done, float(self.event.target_minutes)
        return {
            "throughput_by_hour": self.counted.hours,
            "throughput_by_day": day_rows(self.facts, self.covered),
            "throughput_by_stringer": stringer_rows(done, self.people, self.span, target),
            "team": team_rows(self.facts, self.people, self.covered, self.event.currency),
            "throughput_by_machine": machine_rows(done, self.machines, self.span),
        }

    def _jobs(self) -> dict[str, Any]:
        counted, jobs = self.counted, self.counted.listed()
        return {
            "jobs": job_rows(counted, jobs),
            "needed_by": needed_by_rows(counted, jobs, counted.kept.needed),
            "time_on_bench": bench_time_rows(counted, counted.done.jobs),
            "carried_over": carried_over_rows(counted, jobs),
            "uncollected": uncollected_rows(counted),
        }

    def _string(self) -> dict[str, Any]:
        done = self.counted.done.jobs
        return {
            "string": string_rows(self.session, self.event, self.span),
            "metres_by_pattern": pattern_rows(done),
            "to_order": orders(self.session, self.event, self.at),
            "tensions": tension_rows(self.facts, done),
            "materials": material_rows(self.facts, done),
            "calibration": calibration_rows(self.session, self.event, self.span, self.machines, self._wall),
            "cross_checks": cross_checks(self.session, self.counted),
        }

    def _money(self) -> dict[str, Any]:
        accounts = self.counted.accounts
        made = (row for row in invoice_rows(self.session, self.event) if self.span.holds(row.at))
        return {
            "money_by_day": accounts.days,
            "taxes": accounts.taxes,
            "charges": accounts.rows,
            "invoices": tuple(self._invoice(row) for row in made),
            "prize_money": accounts.prize_money,
        }

    def _invoice(self, row: MadeInvoice) -> InvoiceRow:
        return row_of(
            InvoiceRow,
            row,
            number=invoice_name(self.event, row.number),
            made_at=self._wall(row.at),
            payer=row.payer.replace("\n", ", "),
            currency=self.event.currency,
            net_minor=row.gross_minor - row.tax_minor,
        )

    def _wall(self, at: datetime) -> datetime:
        return self.counted.wall(at)
