"""The sheets of played sample events: against the records, for sense, and in another program."""

import shutil
from statistics import fmean

import pytest
from sqlalchemy import func, select

from desk.models import Charge, Event, HandOver, Job, ReelEntry
from desk.queries.close import usage_report
from exports.files.workbook import write_workbook
from exports.report import UsageReport
from exports.sheet import Sheet
from exports.tables import tables
from tests.conftest import missing
from tests.exports.office import RAW, convert, csv_sheets
from tests.played import Played

pytestmark = pytest.mark.slow


@pytest.fixture(params=["riverside", "impossible"])
def played(request: pytest.FixtureRequest) -> Played:
    return request.getfixturevalue(request.param)


def report_of(played: Played) -> UsageReport:
    with played.database.reading() as session:
        event = session.get_one(Event, played.event_id)
        return usage_report(session, event, None, at=event.days[-1].closes_at)


def test_totals_of_a_played_event_equal_the_records(played):
    report = report_of(played)
    with played.database.reading() as session:

        def total(found):
            return session.scalar(found) or 0

        strung = total(select(func.count(Job.id)).where(Job.state.in_(("strung", "handed_over", "redo"))))
        used = total(select(func.sum(ReelEntry.metres)).where(ReelEntry.kind == "use"))
        given = total(select(func.count(Job.id)).join(HandOver, HandOver.id == Job.hand_over_id))
        charged = total(select(func.sum(Charge.amount_minor)))
        still_open = total(select(func.count(Job.id)).where(Job.state.in_(("waiting", "on_machine", "held"))))
    assert report.summary.racquets_strung == strung > 20
    assert report.summary.string_m == pytest.approx(-used, abs=0.01)
    assert sum(row.handed_over for row in report.throughput_by_hour) == given
    assert report.summary.charged_minor == charged
    assert report.summary.carried_over == len(report.carried_over) == still_open
    assert [row.figure for row in report.cross_checks if row.differs] == []


def test_rows_of_every_table_add_up_to_the_summary(played):
    report, s = report_of(played), report_of(played).summary
    assert sum(row.racquets for row in report.throughput_by_stringer) == s.racquets_strung
    assert sum(row.racquets for row in report.throughput_by_machine) == s.racquets_strung
    assert sum(row.strung for row in report.throughput_by_hour) == s.racquets_strung
    assert sum(row.racquets for row in report.materials) == s.racquets_strung
    assert sum(row.string_m or 0 for row in report.jobs) == pytest.approx(s.string_m)
    assert sum(row.used_m for row in report.reels) == pytest.approx(s.string_m)
    assert sum(row.total_minor for row in report.charges) == s.charged_minor
    assert (
        sum(row.spare_min >= 0 for row in report.needed_by if row.ready_at and row.spare_min is not None) == s.on_time
    )


def test_figures_make_sense_to_a_desk(played):
    """Common practice: event averages are 9.9 to 13.3 m a racquet; 16 to 30 minutes a racquet on the bench."""
    report = report_of(played)
    metres = report.summary.string_m / report.summary.racquets_strung
    assert 9.9 <= metres <= 13.3
    assert 16 <= fmean(row.bench_min for row in report.time_on_bench) <= 30
    assert all(9.0 <= row.string_m <= 14.5 for row in report.jobs if row.string_m)


def head_rows(sheet: Sheet) -> int:
    return 3 + len(sheet.lines)


def test_another_program_opens_the_workbook_and_reads_the_records(played, tmp_path, request):
    if shutil.which("soffice") is None:
        missing(request.config, "LibreOffice (soffice) is not installed")
    report = report_of(played)
    read = csv_sheets(write_workbook(report), tmp_path, RAW)
    jobs = next(sheet for sheet in tables(report) if sheet.key == "jobs")
    rows = read["Jobs"][head_rows(jobs) : head_rows(jobs) + len(report.jobs)]
    place = [column.key for column in jobs.columns].index("string_m")
    assert [row[0] for row in rows] == [job.tag for job in report.jobs]
    assert sum(float(row[place] or 0) for row in rows) == pytest.approx(report.summary.string_m)
    first = {row[0]: row[1] for row in read["Summary"] if row}
    assert float(first["Strung"]) == report.summary.racquets_strung


def test_paper_of_a_played_event_has_every_sheet(riverside, tmp_path, request):
    if shutil.which("soffice") is None or shutil.which("pdfinfo") is None:
        missing(request.config, "LibreOffice (soffice) or pdfinfo is not installed")
    folder = convert(write_workbook(report_of(riverside)), tmp_path, "pdf")
    assert (folder / "report.pdf").stat().st_size > 20_000
