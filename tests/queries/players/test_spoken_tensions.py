"""A tension stays as it was spoken: through files, records, redo, undo, histories and every form of the sheet."""

import csv
import io
import json
import zipfile
from collections import Counter
from decimal import Decimal

import pytest
from openpyxl import load_workbook
from sqlalchemy import select

from desk.models import Event, Job, Player
from desk.models.database import Database
from desk.queries.close import usage_report
from desk.queries.counter.job_cards import card_views
from desk.queries.players.history_table import history_table
from desk.services.bench import jobs
from desk.services.bench.redoing import redo_job
from desk.services.bench.undo import undo_last
from desk.services.counter.drop_offs import take_drop_off
from desk.services.event_files import read_event, script_of
from exports.files.csvzip import write_csv_zip
from exports.files.jsonfile import write_json
from exports.files.workbook import write_workbook
from tests import make
from tests.played import SAMPLES, Played
from tests.services.small_desk import ALL_CHECKED, SmallDesk, small_desk

pytestmark = pytest.mark.slow

SPOKEN = [("52.5", "lb"), ("52.25", "lb"), ("23.5", "kg"), ("22", "kg")]


def strung_and_strung_again(database: Database, value: str, unit: str) -> SmallDesk:
    """Take a racquet in, string it, take that back, string it anew and a second time."""
    with database.writing() as session:
        desk = small_desk(session)
        spoken = {"tension": Decimal(value), "unit": unit}
        card = {"mains": spoken, "crosses": spoken}
        form = desk.form(desk.racquet_form(card=card))
        (job,) = take_drop_off(session, desk.event.id, form, acting=make.acting("Mon 09:00")).jobs
        where = (session, desk.event.id)
        jobs.start_job(*where, job.id, acting=make.acting("Mon 09:10"), **desk.bench())
        jobs.finish_job(*where, job.id, ALL_CHECKED, acting=make.acting("Mon 09:30"))
        undo_last(*where, job.id, acting=make.acting("Mon 09:31"))
        jobs.finish_job(*where, job.id, ALL_CHECKED, acting=make.acting("Mon 09:32"))
        again = redo_job(*where, job.id, "a cross was missed", acting=make.acting("Mon 09:40"))
        jobs.start_job(*where, again.id, acting=make.acting("Mon 09:50"), **desk.bench())
        jobs.finish_job(*where, again.id, ALL_CHECKED, acting=make.acting("Mon 10:10"))
    return desk


@pytest.mark.parametrize(("value", "unit"), SPOKEN)
def test_a_tension_reads_as_it_was_spoken_in_every_record_and_sheet(
    any_database: Database, value: str, unit: str
) -> None:
    desk = strung_and_strung_again(any_database, value, unit)
    with any_database.reading() as session:
        event = session.get_one(Event, desk.event.id)
        cards = card_views(session, Job.event_id == event.id)
        assert {(str(one.bed.mains.tension), one.bed.mains.unit) for one in cards} == {(value, unit)}
        head, *rows = history_table(session, event, session.get_one(Player, desk.player.id))
        report = usage_report(session, event, None, at=make.moment("Mon 12:00"))
    assert [(row[head.index("mains_tension")], row[head.index("unit")]) for row in rows] == [(value, unit)] * 2
    told = f"{value} {unit}"
    assert [row.mains_tension.spoken for row in report.jobs] == [told, told]
    assert {row["mains_tension"] for row in csv_jobs(write_csv_zip(report))} == {told}
    assert {(one["mains_tension"]["value"], one["mains_tension"]["unit"]) for one in json_jobs(report)} == {
        (float(value), unit)
    }
    cells = [cell.value for row in load_workbook(io.BytesIO(write_workbook(report)))["Jobs"].rows for cell in row]
    assert cells.count(told) == 4


def csv_jobs(content: bytes) -> list[dict[str, str]]:
    with zipfile.ZipFile(io.BytesIO(content)) as files:
        name = next(name for name in files.namelist() if name.endswith("jobs.csv"))
        return list(csv.DictReader(io.StringIO(files.read(name).decode("utf-8-sig"))))


def json_jobs(report) -> list[dict]:
    return json.loads(write_json(report))["jobs"]


def test_every_tension_of_an_events_files_stands_so_on_its_sheet(riverside: Played) -> None:
    script = script_of(read_event(SAMPLES / "riverside-one-day"))
    in_files = Counter(
        (visit.player_code, racquet.number, *(half.tension.display() for half in racquet.bed))
        for visit in script.drop_offs
        for racquet in visit.racquets
    )
    with riverside.database.reading() as session:
        event = session.get_one(Event, riverside.event_id)
        codes = dict(session.execute(select(Player.name, Player.code)).all())
        report = usage_report(session, event, None, at=event.days[-1].closes_at)
    on_sheet = Counter(
        (codes[row.player], int(row.racquet), row.mains_tension.spoken, row.crosses_tension.spoken)
        for row in report.jobs
        if not row.redo_of
    )
    assert on_sheet == in_files
    assert {told.split()[1] for _, _, told, _ in on_sheet} == {"lb", "kg"}
