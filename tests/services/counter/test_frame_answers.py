"""The answer of whoever looked the frame over decides at the counter and in a sheet, never a note."""

from dataclasses import replace

import pytest
from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.errors import BadInput
from desk.models import Job
from desk.services.counter.bulk_drop_offs import Said, take_bulk
from desk.services.counter.drop_offs import take_drop_off
from tests import make
from tests.services.counter.sheet_visits import racquet, visit
from tests.services.small_desk import SmallDesk

NOW = make.acting("Mon 10:00")


def refused(session: Session, desk: SmallDesk, consent: str = "", **frame: object) -> dict[str, str]:
    form = desk.form(desk.racquet_form(**frame), consent=consent)
    with pytest.raises(BadInput) as caught:
        take_drop_off(session, desk.event.id, form, acting=NOW)
    assert session.scalar(select(func.count()).select_from(Job)) == 0
    return caught.value.fields


def test_a_cracked_frame_is_not_taken_in_whatever_was_agreed(session: Session, desk: SmallDesk) -> None:
    """A cracked frame is not strung, consent or no (common practice)."""
    assert "frame_check" in refused(session, desk, "the owner agrees", frame_check="cracked")


@pytest.mark.parametrize("note", ["frame is broken at the throat", "split", "fissure", "snapped", "no sign of a crack"])
def test_a_note_of_damage_is_asked_about_once_and_the_answer_stands(
    session: Session, desk: SmallDesk, note: str
) -> None:
    assert "frame_check" in refused(session, desk, frame_note=note)
    assert "frame_meant" in refused(session, desk, frame_note=note, frame_check="sound", frame_meant=False)
    form = desk.form(desk.racquet_form(frame_note=note, frame_check="sound", frame_meant=True))
    taken = take_drop_off(session, desk.event.id, form, acting=NOW)
    assert (taken.frame_note, taken.frame_checked, taken.jobs[0].frame_check) == (note, True, "sound")


def test_worn_grommets_need_consent_or_new_ones(session: Session, desk: SmallDesk) -> None:
    assert "consent" in refused(session, desk, frame_check="worn", frame_note="worn at the head")
    assert "frame_meant" in refused(
        session, desk, frame_check="sound", frame_note="grommets worn at the head", frame_meant=False
    )
    assert "frame_check" in refused(session, desk, frame_note="grommets worn at the head")
    new = desk.racquet_form(frame_check="worn", card={"extra_work": "grommets"})
    old = desk.racquet_form(1, frame_check="worn")
    take_drop_off(session, desk.event.id, desk.form(new), acting=NOW)
    taken = take_drop_off(session, desk.event.id, desk.form(old, key="b", consent="owner, here"), acting=NOW)
    assert taken.jobs[0].frame_check == "worn"


def test_a_visit_of_which_one_frame_was_not_looked_over_says_so(session: Session, desk: SmallDesk) -> None:
    form = desk.form(desk.racquet_form(frame_check="sound"), desk.racquet_form(1))
    assert not take_drop_off(session, desk.event.id, form, acting=NOW).frame_checked


def test_a_sheet_leaves_a_cracked_one_out_and_asks_about_a_note(session: Session, desk: SmallDesk) -> None:
    cracked = racquet(desk, 1, frame_check="cracked")
    split = racquet(desk, 2, frame_check="sound", found="split at the throat")
    worn = racquet(desk, 3, frame_check="worn")
    asked = [visit(desk, desk.player.code, cracked, split, worn, racquet(desk, 4))]
    taken = take_bulk(session, desk.event.id, asked, request_key="sheet", acting=NOW)
    assert taken.rows == {5}
    assert [(one.row, one.columns, one.asks) for one in taken.refused] == [
        (2, ("frame_check", "found"), ""),
        (3, ("frame_check", "found"), "frame_meant"),
        (4, ("consent", "extra_work"), ""),
    ]
    agreed = [replace(asked[0], consent="agreed by telephone")]
    both = {(3, "frame_meant"), (2, "low_meant")}
    assert take_bulk(session, desk.event.id, agreed, request_key="sheet", acting=NOW, said=Said(meant=both)).rows == {
        3,
        4,
        5,
    }
