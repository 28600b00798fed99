"""Each total a second time, counted by the database from other records than the first."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from sqlalchemy import case, func, select
from sqlalchemy.orm import Session

from desk.models import Charge, DropOff, HandOver, Job, Mishap, Reel, ReelEntry, Settlement, StateChange
from desk.queries.close.due import due_checks
from desk.queries.close.facts import TAKEN_BACK
from desk.queries.close.figures import Counted
from exports.rows.checks import CrossCheckRow

METRES_TOLERANCE = 0.05
"""Metres are kept to the centimetre; a sum of some hundred of them may differ by this (common practice)."""


def cross_checks(session: Session, counted: Counted) -> tuple[CrossCheckRow, ...]:
    """Return each total of the summary beside the same from other records."""
    check = _Checks(session, counted)
    return (*check.racquets(), *check.due(), *check.visits(), *check.string(), *check.money(), *check.mishaps())


class _Checks:
    def __init__(self, session: Session, counted: Counted) -> None:
        self.session, self.event, self.span, self.counted = session, counted.event, counted.span, counted

    def racquets(self) -> Iterator[CrossCheckRow]:
        done = self.counted.done
        racquets, players, on_court = self.session.execute(self._finished()).one()
        strung, taken_in = self.session.scalar(self._strung()), self._came()
        yield _row("Racquets strung", "jobs one by one", done.racquets, "changes of state to strung", strung)
        by_hour = sum(row.strung for row in self.counted.hours)
        yield _row("Racquets strung, by hour", "hours added up", by_hour, "the database's count of jobs", racquets)
        yield _row("Players served", "jobs one by one", done.players, "the database's count of players", players)
        yield _row("From a match in play", "jobs one by one", done.on_court, "the database's count of jobs", on_court)
        known = len(self.counted.states)
        yield _row("Jobs taken in so far", "states at the end added up", known, "first lines of the jobs", taken_in)

    def _finished(self):
        return select(
            func.count(Job.id),
            func.count(Job.player_id.distinct()),
            func.coalesce(func.sum(case((Job.on_court, 1), else_=0)), 0),
        ).where(Job.event_id == self.event.id, Job.finished_at.is_not(None), self.span.within(Job.finished_at))

    def _strung(self):
        """Net changes to strung in the span."""
        there = (StateChange.to_state == "strung") & (StateChange.note != TAKEN_BACK)
        back = (StateChange.from_state == "strung") & (StateChange.note == TAKEN_BACK)
        back &= StateChange.to_state == "on_machine"
        return (
            select(func.coalesce(func.sum(case((there, 1), (back, -1), else_=0)), 0))
            .join(Job, Job.id == StateChange.job_id)
            .where(Job.event_id == self.event.id, self.span.within(StateChange.at))
        )

    def _came(self) -> int:
        """Jobs counted by the first line of each: its drop-off, or for a redo the change of the job that it repeats."""
        visits = select(func.count(Job.id)).join(DropOff, DropOff.id == Job.drop_off_id)
        visits = visits.where(Job.event_id == self.event.id, Job.redo_of_id.is_(None), self.span.until(DropOff.at))
        again = select(func.count(StateChange.id)).join(Job, Job.id == StateChange.job_id)
        again = again.where(
            Job.event_id == self.event.id, StateChange.to_state == "redo", self.span.until(StateChange.at)
        )
        return (self.session.scalar(visits) or 0) + (self.session.scalar(again) or 0)

    def due(self) -> Iterator[CrossCheckRow]:
        needed, promised = self.counted.kept.needed, self.counted.kept.promised
        records = due_checks.on_time(self.session, self.event, self.span)
        made, kept = due_checks.promises(self.session, self.event, self.span)
        yield _row("On time", "jobs one by one", needed.of("in time"), "the database's comparison of times", records)
        yield _row("Promises", "jobs one by one", promised.due, "first lines of the promises", made)
        yield _row("Promises kept", "jobs one by one", promised.of("in time"), "first lines of the promises", kept)

    def visits(self) -> Iterator[CrossCheckRow]:
        visits = (
            select(func.count(Job.id))
            .join(DropOff, DropOff.id == Job.drop_off_id)
            .where(Job.event_id == self.event.id, Job.redo_of_id.is_(None), self.span.within(DropOff.at))
        )
        dropped = sum(row.dropped_off for row in self.counted.hours)
        handed = sum(row.handed_over for row in self.counted.hours)
        given = (
            select(func.count(Job.id))
            .join(HandOver, HandOver.id == Job.hand_over_id)
            .where(HandOver.event_id == self.event.id, HandOver.undone_at.is_(None), self.span.within(HandOver.at))
        )
        yield _row("Dropped off", "hours added up", dropped, "racquets of the drop-offs", self.session.scalar(visits))
        yield _row("Handed over", "hours added up", handed, "racquets of the hand-overs", self.session.scalar(given))

    def mishaps(self) -> Iterator[CrossCheckRow]:
        found = select(func.count(Mishap.id)).where(Mishap.event_id == self.event.id, self.span.within(Mishap.at))
        yield _row(
            "Went wrong",
            "kinds added up",
            self.counted.mishaps_noted,
            "the database's count",
            self.session.scalar(found),
        )

    def string(self) -> Iterator[CrossCheckRow]:
        entries = select(
            func.sum(case((ReelEntry.kind == "use", -ReelEntry.metres), else_=0.0)),
            func.sum(case((ReelEntry.kind == "waste", -ReelEntry.metres), else_=0.0)),
        ).join(Reel, Reel.id == ReelEntry.reel_id)
        entries = entries.where(Reel.event_id == self.event.id, self.span.within(ReelEntry.at))
        used_m, waste_m = self.session.execute(entries).one()
        left = select(func.sum(ReelEntry.metres)).join(Reel, Reel.id == ReelEntry.reel_id)
        left = left.where(Reel.event_id == self.event.id, self.span.until(ReelEntry.at))
        used = self.counted.done.string_m
        yield _metres("String in racquets", "metres of the jobs", used, "uses of the reels", used_m)
        by_reel = sum(row.used_m for row in self.counted.reels)
        yield _metres("String used, by reel", "reels added up", by_reel, "uses of the reels", used_m)
        waste = self.counted.waste_m
        yield _metres("String wasted", "reels added up", waste, "waste of the reels", waste_m)
        closing = sum(row.closing_m for row in self.counted.reels)
        all_left = self.session.scalar(left)
        yield _metres("String left", "closings of the reels", closing, "every entry until then", all_left)

    def money(self) -> Iterator[CrossCheckRow]:
        whole, days = self.counted.accounts.whole, self.counted.accounts.days
        charged, tax = self._sums(Charge, self.span.within(Charge.at), Charge.amount_minor, Charge.tax_minor)
        by_rate = sum(row.tax_minor for row in self.counted.accounts.taxes)
        (owed,) = self._sums(Charge, self.span.until(Charge.at), Charge.amount_minor)
        (settled,) = self._sums(Settlement, self.span.until(Settlement.at), Settlement.amount_minor)
        yield _minor("Charged", "days added up", sum(row.charged_minor for row in days), "every charge", charged)
        yield _minor("Tax", "rates added up", by_rate, "every charge", tax)
        for kind, word, sign, of_days in (
            ("payment", "Received", 1, sum(row.received_minor for row in days)),
            ("refund", "Paid back", -1, sum(row.refunded_minor for row in days)),
            ("write_off", "Written off", 1, sum(row.written_off_minor for row in days)),
        ):
            when = self.span.within(Settlement.at) & (Settlement.kind == kind)
            (total,) = self._sums(Settlement, when, Settlement.amount_minor)
            yield _minor(word, "days added up", of_days, f"every line of {word.lower()}", sign * total)
        players = sum(row.carried_forward_minor for row in self.counted.accounts.rows)
        last = days[-1].carried_forward_minor if days else 0
        yield _minor("Open carried forward", "accounts of the payers", players, "every line until then", owed - settled)
        flow = ("brought forward and the flow", whole.carried_forward_minor)
        yield _minor("Open carried forward, by day", "the last day", last, *flow)

    def _sums(self, table: type[Charge] | type[Settlement], when, *columns) -> tuple[int, ...]:
        found = select(*(func.coalesce(func.sum(column), 0) for column in columns))
        return tuple(int(one) for one in self.session.execute(found.where(table.event_id == self.event.id, when)).one())


def _row(
    figure: str, first_source: str, first: float, second_source: str, second: float | None, **more: Any
) -> CrossCheckRow:
    sources = {"first_source": first_source, "second_source": second_source}
    return CrossCheckRow(
        figure=figure, **sources, first=first, second=0 if second is None else second, **{"measure": "count"} | more
    )


def _metres(figure: str, first_source: str, first: float, second_source: str, second: float | None) -> CrossCheckRow:
    metres = {"measure": "m", "tolerance": METRES_TOLERANCE}
    second_m = round(second or 0.0, 2) + 0.0
    return _row(figure, first_source, round(first, 2), second_source, second_m, **metres)


def _minor(figure: str, first_source: str, first: int, second_source: str, second: int) -> CrossCheckRow:
    return _row(figure, first_source, first, second_source, second, measure="minor")
