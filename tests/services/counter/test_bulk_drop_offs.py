"""A sheet of drop-offs: what can be is taken in, each visit promised behind the one before; the rest is refused."""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.models import DropOff, Job, Promise
from desk.services.counter.bulk_drop_offs import SAID_NOTHING, Said, Taken, preview_bulk, take_bulk, take_visit
from desk.services.event_files import ScriptedDropOff
from tests import make
from tests.services.counter.sheet_visits import bed, racquet, visit
from tests.services.small_desk import SmallDesk

NOW = make.acting("Mon 10:00")


def take_all(session: Session, desk: SmallDesk, *visits: ScriptedDropOff, said: Said = SAID_NOTHING) -> Taken:
    return take_bulk(session, desk.event.id, visits, request_key="sheet", acting=NOW, said=said)


def take(session: Session, desk: SmallDesk, *visits: ScriptedDropOff) -> tuple[DropOff, ...]:
    return take_all(session, desk, *visits).visits


def test_every_visit_is_promised_behind_the_ones_before(session: Session, desk: SmallDesk) -> None:
    codes = [make.make_player(session, desk.event).code for _ in range(6)]
    take(session, desk, *(visit(desk, code, racquet(desk, 1, row=n)) for n, code in enumerate(codes, start=2)))
    promised = session.scalars(select(Promise.ready_at).order_by(Promise.id)).all()
    minutes = [(at - NOW.at).total_seconds() / 60 for at in promised]
    assert minutes == sorted(minutes)
    assert minutes[2] >= minutes[0] + 20 and minutes[4] >= minutes[2] + 20


def test_a_visit_whose_time_got_later_is_taken_with_the_later_time(session: Session, desk: SmallDesk) -> None:
    asked = [visit(desk, desk.player.code, racquet(desk, 1))]
    (one,) = preview_bulk(session, desk.event, asked, request_key="sheet", acting=NOW).visits
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


def test_a_row_that_cannot_be_is_left_out_and_the_others_are_taken(session: Session, desk: SmallDesk) -> None:
    tight, code = racquet(desk, 2, bed=bed(desk, "70 lb"), row=7), make.make_player(session, desk.event).code
    taken = take_all(
        session, desk, visit(desk, desk.player.code, racquet(desk, 1), tight), visit(desk, code, racquet(desk, 3))
    )
    assert (taken.rows, [len(one.jobs) for one in taken.visits]) == ({2, 4}, [1, 1])
    assert [(one.row, one.columns[0], one.asks) for one in taken.refused] == [(7, "consent", "")]
    assert "above the range" in taken.refused[0].why


def test_what_is_corrected_is_taken_once_with_what_was_taken_before(session: Session, desk: SmallDesk) -> None:
    first, tight = racquet(desk, 1), racquet(desk, 2, bed=bed(desk, "70 lb"), row=7)
    take_all(session, desk, visit(desk, desk.player.code, first, tight))
    corrected = visit(desk, desk.player.code, first, racquet(desk, 2, row=7))
    for _ in range(2):
        taken = take_all(session, desk, corrected)
        assert (taken.rows, len(taken.refused)) == ({2, 7}, 0)
    assert session.scalar(select(func.count()).select_from(Job)) == 2


def test_a_low_tension_is_asked_about_and_taken_where_it_is_meant(session: Session, desk: SmallDesk) -> None:
    desk.frame.tension_low, desk.frame.tension_high, desk.frame.tension_unit = Decimal(22), Decimal(27), "kg"
    asked = visit(desk, desk.player.code, racquet(desk, 1, bed=bed(desk, "24 lb")))
    refused = take_all(session, desk, asked)
    assert (refused.rows, refused.refused[0].asks) == (set(), "low_meant")
    assert "did you mean 24 kg?" in refused.refused[0].why
    assert take_all(session, desk, asked, said=Said(meant={(2, "low_meant")})).rows == {2}


def test_a_racquet_twice_in_one_sheet_is_taken_once(session: Session, desk: SmallDesk) -> None:
    later = replace(visit(desk, desk.player.code, racquet(desk, 9, row=5)), at=NOW.at + timedelta(minutes=5))
    taken = take_all(session, desk, visit(desk, desk.player.code, racquet(desk, 9)), later)
    assert (taken.rows, taken.refused[0].row) == ({10}, 5)
    assert taken.refused[0].why == "The same racquet stands in row 10 already."


def test_the_same_sheet_twice_counts_once(session: Session, desk: SmallDesk) -> None:
    first = take(session, desk, visit(desk, desk.player.code, racquet(desk, 1)))
    second = take(session, desk, visit(desk, desk.player.code, racquet(desk, 1)))
    assert [one.id for one in first] == [one.id for one in second]
