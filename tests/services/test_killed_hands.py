"""What is counted after the kills sees what is lost, doubled or torn."""

import pytest
from sqlalchemy import select

from desk.models import Job, Promise, ReelEntry, StateChange
from desk.models.database import Database
from tests import make
from tests.services.killed_hands import Desk, Told, faults_of, prepare


@pytest.fixture
def desk(database: Database) -> Desk:
    return prepare(database, racquets=2)


def test_untouched_records_have_no_fault(database: Database, desk: Desk) -> None:
    assert faults_of(database, desk, Told()) == []


def test_what_was_told_and_is_not_there_is_lost(database: Database, desk: Desk) -> None:
    told = Told()
    told.keys["touch"].append("start 1")
    assert faults_of(database, desk, told) == ["start 1 was told and is stored 0 times"]


def test_what_is_there_twice_is_doubled(database: Database, desk: Desk) -> None:
    now = make.moment("Mon 09:00")
    with database.writing() as session:
        for _ in range(2):
            row = {"kind": "received", "metres": 1.0, "note": "string 7"}
            session.add(ReelEntry(reel_id=desk.reel_id, at=now, by="lead", **row))
    assert faults_of(database, desk, Told()) == ["string 7 is stored twice"]


def test_what_is_half_done_is_torn(database: Database, desk: Desk) -> None:
    job_id, now = desk.benches[0][2][0], make.moment("Mon 09:00")
    with database.writing() as session:
        job = session.get_one(Job, job_id)
        job.state = "strung"
        for one, two in (("", "waiting"), ("on_machine", "strung")):
            session.add(StateChange(job_id=job_id, at=now, by="lead", from_state=one, to_state=two))
        session.get_one(Job, desk.benches[1][2][0]).on_court = True
        assert session.scalars(select(Promise)).all() == []
    found = faults_of(database, desk, Told())
    assert [fault.partition(f" {job_id} ")[2] for fault in found[:2]] == [
        "do not follow one another",
        "is strung and was cut [0, 0] times",
    ]
    assert found[2].endswith("came from the court and has no ready time")
