"""The sheet of played sample events against plain SQL over the raw tables, money by every way of paying included."""

import json
import shutil
import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass, fields
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from jsonschema import Draft202012Validator
from sqlalchemy import select

from desk.models import Charge, Event, Player
from desk.models.database import Database
from desk.queries.close import usage_report
from desk.queries.money.charges import METHODS, open_minor
from desk.queries.money.holders import Holder
from desk.services.acting import Acting
from desk.services.close.days import close_day
from desk.services.money import charges, payers, payments
from exports.files.jsonfile import write_json
from exports.files.schema import json_schema
from exports.report import UsageReport
from tests.played import Played

pytestmark = pytest.mark.slow

COUNTS = {
    "racquets_strung": "SELECT count(*) FROM job WHERE finished_at IS NOT NULL",
    "players_served": "SELECT count(DISTINCT player_id) FROM job WHERE finished_at IS NOT NULL",
    "on_court": "SELECT count(*) FROM job WHERE finished_at IS NOT NULL AND on_court",
    "redo": "SELECT count(*) FROM job WHERE finished_at IS NOT NULL AND redo_of_id IS NOT NULL",
    "carried_over": "SELECT count(*) FROM job WHERE state IN ('waiting', 'on_machine', 'held')",
    "uncollected": "SELECT count(*) FROM job WHERE state = 'strung'",
    "promises_made": "SELECT count(DISTINCT job_id) FROM promise",
    "promises_kept": (
        "SELECT count(*) FROM job JOIN promise ON job_id = job.id WHERE finished_at <= ready_at "
        "AND promise.id IN (SELECT min(id) FROM promise GROUP BY job_id)"
    ),
    "string_m": "SELECT round(-sum(metres), 2) FROM reel_entry WHERE kind = 'use'",
    "charged_minor": "SELECT sum(amount_minor) FROM charge",
    "tax_minor": "SELECT sum(tax_minor) FROM charge",
    "refunded_minor": "SELECT -sum(amount_minor) FROM settlement WHERE kind = 'refund'",
    "written_off_minor": "SELECT sum(amount_minor) FROM settlement WHERE kind = 'write_off'",
    "carried_forward_minor": "SELECT sum(amount_minor) - (SELECT sum(amount_minor) FROM settlement) FROM charge",
}


OWED_BY_PAYER = """
    SELECT contact.name, sum(amount) FROM (
        SELECT payer_id, amount_minor AS amount FROM charge UNION ALL SELECT payer_id, -amount_minor FROM settlement
    ) JOIN contact ON contact.id = payer_id GROUP BY contact.name
"""
FINISHED = "FROM job WHERE finished_at >= :from_at AND finished_at < :to_at"
END = "9999-12-31"
WITHIN = "WHERE at >= :from_at AND at < :to_at"
OF_DAY = {
    "racquets": f"SELECT count(*) {FINISHED}",
    "players": f"SELECT count(DISTINCT player_id) {FINISHED}",
    "on_court": f"SELECT count(*) {FINISHED} AND on_court",
    "redo": f"SELECT count(*) {FINISHED} AND redo_of_id IS NOT NULL",
    "string_m": (
        f"SELECT round(-sum(metres), 2) FROM reel_entry WHERE kind = 'use' AND job_id IN (SELECT id {FINISHED})"
    ),
}
MONEY_OF_DAY = {
    "brought_forward_minor": (
        "SELECT coalesce(sum(amount_minor), 0) - (SELECT coalesce(sum(amount_minor), 0) FROM settlement "
        "WHERE at < :from_at) FROM charge WHERE at < :from_at"
    ),
    "charged_minor": f"SELECT sum(amount_minor) FROM charge {WITHIN}",
    "tax_minor": f"SELECT sum(tax_minor) FROM charge {WITHIN}",
    **{
        f"{way}_minor": f"SELECT sum(amount_minor) FROM settlement {WITHIN} AND kind = 'payment' AND method = '{way}'"
        for way in METHODS
    },
    "refunded_minor": f"SELECT -sum(amount_minor) FROM settlement {WITHIN} AND kind = 'refund'",
    "written_off_minor": f"SELECT sum(amount_minor) FROM settlement {WITHIN} AND kind = 'write_off'",
    "carried_forward_minor": (
        "SELECT coalesce(sum(amount_minor), 0) - (SELECT coalesce(sum(amount_minor), 0) FROM settlement "
        "WHERE at < :to_at) FROM charge WHERE at < :to_at"
    ),
}


@dataclass
class Settled:
    """The records of an event, and the report of all its days."""

    file: Path
    report: UsageReport


@pytest.fixture(scope="module", params=["riverside", "impossible", "tight_week"])
def settled(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Settled:
    """A copy of a played event in which its players pay by every way, one is paid back and one let off.

    Each pays after the last racquet that was charged; the first day is closed, and a charge of that day is
    corrected and paid back after that.
    """
    played: Played = request.getfixturevalue(request.param)
    file = shutil.copy(Path(str(played.database.engine.url.database)), tmp_path_factory.mktemp("settled"))
    database = Database(f"sqlite:///{file}")
    with database.writing() as session:
        event = session.get_one(Event, played.event_id)
        _settle(session, event)
        _close_and_correct(session, event)
    with database.reading() as session:
        event = session.get_one(Event, played.event_id)
        report = usage_report(session, event, None, at=event.days[-1].closes_at + timedelta(hours=2))
    database.dispose()
    return Settled(Path(file), report)


def _settle(session, event: Event) -> None:
    owing = [one for one in session.scalars(select(Player)) if open_minor(session, event, one.id) > 0]
    ways = (*METHODS, "write_off")
    _let_the_tournament_pay(session, event, owing.pop())
    for number, player in enumerate(owing):
        owed, way = open_minor(session, event, player.id), ways[number % len(ways)]
        acting = Acting(by="desk", at=_last_charge(session, player).at)
        if way == "write_off":
            payments.write_off(session, event.id, Holder.of(player), owed, reason="left", acting=acting)
        else:
            payments.settle(session, event.id, Holder.of(player), owed, method=way, acting=acting)


def _let_the_tournament_pay(session, event: Event, player: Player) -> None:
    acting = Acting(by="desk", at=_last_charge(session, player).at)
    tournament = payers.office(session, event.id, "tournament", acting=acting)
    own = select(Charge.id).where(
        Charge.player_id == player.id, Charge.payer_id.is_(None), Charge.corrects_id.is_(None)
    )
    payers.let_pay(session, event.id, session.scalars(own).all(), tournament.id, acting=acting)


def _last_charge(session, player: Player) -> Charge:
    found = select(Charge).where(Charge.player_id == player.id).order_by(Charge.at.desc(), Charge.id)
    return session.scalars(found).first()


def _close_and_correct(session, event: Event) -> None:
    closes_at = event.days[0].closes_at
    close_day(session, event.id, event.days[0].id, acting=Acting(by="lead", at=closes_at))
    first = session.scalars(
        select(Charge).where(Charge.payer_id.is_(None), Charge.at < closes_at).order_by(Charge.at, Charge.id)
    ).first()
    later = Acting(by="desk", at=closes_at + timedelta(minutes=40))
    charges.correct_charge(session, event.id, first.id, first.amount_minor - 100, acting=later, reason="agreed")
    player = session.get_one(Player, first.player_id)
    payments.refund(session, event.id, Holder.of(player), 100, method="cash", acting=later)


def test_each_figure_equals_plain_sql_over_the_raw_tables(settled):
    report = settled.report
    with sqlite3.connect(settled.file) as raw:
        found = {name: raw.execute(sql).fetchone()[0] for name, sql in COUNTS.items()}
        ways = dict(raw.execute("SELECT method, sum(amount_minor) FROM settlement WHERE kind = 'payment' GROUP BY 1"))
        payers_owe = dict(raw.execute(OWED_BY_PAYER))
        rates = dict(raw.execute("SELECT tax_basis_points / 100.0, sum(tax_minor) FROM charge GROUP BY 1"))
    assert {name: getattr(report.summary, name) for name in COUNTS} == pytest.approx(found)
    days = report.money_by_day
    assert {way: sum(getattr(row, f"{way}_minor") for row in days) for way in ways} == ways
    assert len(ways) == len(METHODS)
    others = {row.payer: row.carried_forward_minor for row in report.charges if row.stands_as != "player"}
    assert others == payers_owe and others["Tournament"] > 0
    assert {row.rate_pct: row.tax_minor for row in report.taxes} == rates
    assert [row.figure for row in report.cross_checks if row.differs] == []


def test_each_day_equals_plain_sql_over_the_raw_tables(settled):
    report = settled.report
    with sqlite3.connect(settled.file) as raw:
        stretches = list(_stretches(raw))
        assert len(stretches) == len(report.money_by_day) >= len(report.throughput_by_day)
        for where, money in zip(stretches, report.money_by_day, strict=True):
            found = {name: raw.execute(sql, where).fetchone()[0] or 0 for name, sql in MONEY_OF_DAY.items()}
            assert {name: getattr(money, name) for name in MONEY_OF_DAY} == found, where
        for where, day in zip(stretches, report.throughput_by_day, strict=False):
            found = {name: raw.execute(sql, where).fetchone()[0] or 0 for name, sql in OF_DAY.items()}
            assert {name: getattr(day, name) for name in OF_DAY} == pytest.approx(found), where
    assert report.money_by_day[1].refunded_minor == 100


def _stretches(raw: sqlite3.Connection) -> Iterator[dict[str, str]]:
    """From local midnight to local midnight; a closed day ends when it was closed, and the next begins there."""
    ((zone,),) = raw.execute("SELECT time_zone FROM event")
    days = raw.execute("SELECT date, closed_at FROM event_day ORDER BY date").fetchall()
    midnights = [datetime.fromisoformat(day).replace(tzinfo=ZoneInfo(zone)).astimezone(UTC) for day, _ in days]
    ends = [f"{one:%Y-%m-%d %H:%M:%S.%f}" for one in midnights[1:]] + [END]
    from_at = ""
    for (_, closed_at), end in zip(days, ends, strict=True):
        to_at = min(end, closed_at or end)
        yield {"from_at": from_at, "to_at": to_at}
        from_at = to_at
    if from_at != END:
        yield {"from_at": from_at, "to_at": END}


def test_days_add_up_to_the_event_in_every_figure(settled):
    report = settled.report
    for name in ("charged_minor", "tax_minor", "received_minor", "refunded_minor", "written_off_minor"):
        assert sum(getattr(row, name) for row in report.money_by_day) == getattr(report.summary, name)
    assert report.money_by_day[-1].carried_forward_minor == report.summary.carried_forward_minor
    for name in ("with_needed_by", "on_time", "promises_made", "promises_kept", "needed_not_strung"):
        assert sum(getattr(row, name) for row in report.throughput_by_day) == getattr(report.summary, name)


def test_its_files_are_valid_under_the_schema_and_hold_every_table(settled):
    report = settled.report
    content = json.loads(write_json(report))
    Draft202012Validator(json_schema()).validate(content)
    for one in fields(report):
        rows = getattr(report, one.name)
        if isinstance(rows, tuple):
            assert len(content[one.name]) == len(rows), one.name
