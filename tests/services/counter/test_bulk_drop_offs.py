"""A sheet of drop-offs taken in at once: all or none, each visit promised behind the one before."""

from dataclasses import replace

import pytest
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.errors import BadInput
from desk.models import DropOff, Job, Promise
from desk.models.database import Database
from desk.services.counter.bulk_drop_offs import preview_bulk, take_bulk, take_visit
from desk.services.event_files import ScriptedDropOff, ScriptedHalf, ScriptedRacquet
from desk.trade.racquet.bed import Bed
from desk.trade.racquet.units import parse_tension
from tests import make
from tests.services.small_desk import SmallDesk, small_desk

NOW = make.acting("Mon 10:00")


def bed(desk: SmallDesk, tension: str) -> Bed[ScriptedHalf]:
    return Bed.of(lambda _: ScriptedHalf(desk.string.code, parse_tension(tension)))


def racquet(desk: SmallDesk, number: int, **over: object) -> ScriptedRacquet:
    values = {
        "row": number + 1, "number": number, "frame_code": desk.frame.code, "bed": bed(desk, "52 lb"), "pieces": 2,
        "stencil": "", "extra_work": "none", "needed_by_kind": "match", "needed_by_at": None, "not_before_at": None,
        "on_court": False, "court_name": None, "as_fresh": False, "found": "", "note": "",
    }  # fmt: skip
    return ScriptedRacquet(**(values | over))


def visit(desk: SmallDesk, player_code: str, *racquets: ScriptedRacquet) -> ScriptedDropOff:
    return ScriptedDropOff(at=NOW.at, player_code=player_code, racquets=racquets, consent="")


def take(session: Session, desk: SmallDesk, *visits: ScriptedDropOff) -> list[DropOff]:
    return take_bulk(session, desk.event.id, visits, request_key="sheet", acting=NOW)


def test_every_visit_is_promised_behind_the_ones_before(session: Session, desk: SmallDesk) -> None:
    codes = [make.make_player(session, desk.event).code for _ in range(6)]
    take(session, desk, *(visit(desk, code, racquet(desk, 1)) for code in codes))
    promised = session.scalars(select(Promise.ready_at).order_by(Promise.id)).all()
    minutes = [(at - NOW.at).total_seconds() / 60 for at in promised]
    assert minutes == sorted(minutes)
    assert minutes[2] >= minutes[0] + 20 and minutes[4] >= minutes[2] + 20


def test_a_visit_whose_time_got_later_is_taken_with_the_later_time(session: Session, desk: SmallDesk) -> None:
    asked = [visit(desk, desk.player.code, racquet(desk, 1))]
    (one,) = preview_bulk(session, desk.event, asked, request_key="sheet", acting=NOW)
    (draft,) = one.drafts
    assert draft.quote is not None and draft.quote.told is not None
    shown = replace(draft.quote.told, ready_at=NOW.at)
    early = replace(one, drafts=(replace(draft, quote=replace(draft.quote, told=shown)),))
    taken = take_visit(session, desk.event.id, early, NOW)
    assert taken.jobs[0].promises[-1].ready_at == draft.quote.told.ready_at


def test_new_racquets_are_added_and_old_ones_found(session: Session, desk: SmallDesk) -> None:
    (taken,) = take(session, desk, visit(desk, desk.player.code, racquet(desk, 2), racquet(desk, 9)))
    assert [job.racquet.number for job in taken.jobs] == [2, 9]
    assert taken.jobs[0].racquet_id == desk.racquets[1].id


def test_one_visit_that_cannot_be_leaves_all_out(database: Database) -> None:
    with database.writing() as session:
        desk = small_desk(session)
        code = make.make_player(session, desk.event).code
    tight = racquet(desk, 1, bed=bed(desk, "70 lb"))
    with pytest.raises(BadInput) as caught, database.writing() as session:
        take(session, desk, visit(desk, desk.player.code, racquet(desk, 1)), visit(desk, code, replace(tight, row=7)))
    assert [fault.where for fault in caught.value.faults] == [f"row 7, player {code}"]
    with database.reading() as session:
        assert session.scalar(select(func.count()).select_from(Job)) == 0


def test_the_same_sheet_twice_counts_once(session: Session, desk: SmallDesk) -> None:
    first = take(session, desk, visit(desk, desk.player.code, racquet(desk, 1)))
    second = take(session, desk, visit(desk, desk.player.code, racquet(desk, 1)))
    assert [one.id for one in first] == [one.id for one in second]
