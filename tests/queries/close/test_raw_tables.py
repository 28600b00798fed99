"""The sheet of played sample events against plain SQL over the raw tables, money by every way of paying included."""

from __future__ import annotations

import shutil
import sqlite3
from pathlib import Path

import pytest
from sqlalchemy import select

from desk.models import Charge, Event, Player
from desk.models.database import Database
from desk.queries.close import usage_report
from desk.queries.money.charges import METHODS, open_minor
from desk.queries.money.holders import Holder
from desk.services.acting import Acting
from desk.services.money import charges
from exports import UsageReport
from tests.played import Played

COUNTS = {
    "racquets_strung": "SELECT count(*) FROM job WHERE finished_at IS NOT NULL",
    "players_served": "SELECT count(DISTINCT player_id) FROM job WHERE finished_at IS NOT NULL",
    "on_court": "SELECT count(*) FROM job WHERE finished_at IS NOT NULL AND on_court",
    "redo": "SELECT count(*) FROM job WHERE finished_at IS NOT NULL AND redo_of_id IS NOT NULL",
    "carried_over": "SELECT count(*) FROM job WHERE state IN ('waiting', 'on_machine', 'held')",
    "uncollected": "SELECT count(*) FROM job WHERE state = 'strung'",
    "promises_made": "SELECT count(DISTINCT job_id) FROM promise",
    "string_m": "SELECT round(-sum(metres), 2) FROM reel_entry WHERE kind = 'use'",
    "charged_minor": "SELECT sum(amount_minor) FROM charge",
    "tax_minor": "SELECT sum(tax_minor) FROM charge",
    "refunded_minor": "SELECT -sum(amount_minor) FROM settlement WHERE kind = 'refund'",
    "written_off_minor": "SELECT sum(amount_minor) FROM settlement WHERE kind = 'write_off'",
    "carried_forward_minor": "SELECT sum(amount_minor) - (SELECT sum(amount_minor) FROM settlement) FROM charge",
}


@pytest.fixture(params=["riverside", "impossible"])
def settled(request: pytest.FixtureRequest, tmp_path: Path):
    """A copy of a played event in which its players pay by every way, one is paid back and one let off."""
    played: Played = request.getfixturevalue(request.param)
    file = shutil.copy(Path(str(played.database.engine.url.database)), tmp_path / "desk.sqlite")
    database = Database(f"sqlite:///{file}")
    with database.writing() as session:
        event = session.get_one(Event, played.event_id)
        _settle(session, event, Acting(by="desk", at=event.days[-1].closes_at))
    yield database, played.event_id, file
    database.dispose()


def _settle(session, event: Event, acting: Acting) -> None:
    owing = [one for one in session.scalars(select(Player)) if open_minor(session, event, one.id) > 0]
    ways = (*METHODS, "write_off")
    for number, player in enumerate(owing):
        owed, way = open_minor(session, event, player.id), ways[number % len(ways)]
        if way == "write_off":
            charges.write_off(session, event.id, Holder.of(player), owed, reason="left", acting=acting)
        else:
            charges.settle(session, event.id, Holder.of(player), owed, method=way, acting=acting)
    first = session.scalars(select(Charge).where(Charge.player_id == owing[0].id)).first()
    charges.correct_charge(session, event.id, first.id, first.amount_minor - 100, acting=acting, reason="agreed")
    charges.refund(session, event.id, Holder.of(owing[0]), 100, method="cash", acting=acting)


@pytest.mark.slow
def test_each_figure_equals_plain_sql_over_the_raw_tables(settled):
    database, event_id, file = settled
    report = _report(database, event_id)
    with sqlite3.connect(file) as raw:
        found = {name: raw.execute(sql).fetchone()[0] for name, sql in COUNTS.items()}
        ways = dict(raw.execute("SELECT method, sum(amount_minor) FROM settlement WHERE kind = 'payment' GROUP BY 1"))
        rates = dict(raw.execute("SELECT tax_basis_points / 100.0, sum(tax_minor) FROM charge GROUP BY 1"))
    assert {name: getattr(report.summary, name) for name in COUNTS} == pytest.approx(found)
    days = report.money_by_day
    assert {way: sum(getattr(row, f"{way}_minor") for row in days) for way in ways} == ways
    assert len(ways) == len(METHODS)
    assert {row.rate_pct: row.tax_minor for row in report.taxes} == rates
    assert [row.figure for row in report.cross_checks if row.differs] == []


def test_days_add_up_to_the_event_in_every_figure(settled):
    database, event_id, _ = settled
    report = _report(database, event_id)
    for name in ("charged_minor", "tax_minor", "received_minor", "refunded_minor", "written_off_minor"):
        assert sum(getattr(row, name) for row in report.money_by_day) == getattr(report.summary, name)
    assert report.money_by_day[-1].carried_forward_minor == report.summary.carried_forward_minor
    for name in ("with_needed_by", "on_time", "promises_made", "promises_kept", "needed_not_strung"):
        assert sum(getattr(row, name) for row in report.throughput_by_day) == getattr(report.summary, name)


def _report(database: Database, event_id: int) -> UsageReport:
    with database.reading() as session:
        event = session.get_one(Event, event_id)
        return usage_report(session, event, None, at=event.days[-1].closes_at)
