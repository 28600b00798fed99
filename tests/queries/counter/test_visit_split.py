"""A visit that would go to several stringers says so, with the times of both ways; it can be kept together."""

from dataclasses import replace

from sqlalchemy.orm import Session

from desk.queries.counter.drop_off_preview import preview, preview_all
from desk.queries.counter.visit_split import splits_of
from desk.services.counter.drop_offs import take_drop_off
from tests import make
from tests.services.small_desk import SmallDesk

AT = make.moment("Mon 12:00")


def _hurried(desk: SmallDesk, time: str):
    wanted = {"needed_by_kind": "time", "needed_by_at": make.moment(f"Mon {time}")}
    return desk.form(*(desk.racquet_form(number, **wanted) for number in range(4)))


def test_a_visit_with_time_to_spare_stays_with_one(session: Session, desk: SmallDesk) -> None:
    form = _hurried(desk, "18:00")
    drafts = preview(session, desk.event, form, AT)
    assert len({draft.quote.stringer_id for draft in drafts}) == 1
    assert splits_of(session, desk.event, [(desk.player.id, drafts)], AT) == [None]


def test_a_split_names_both_ways_with_their_times(session: Session, desk: SmallDesk) -> None:
    drafts = preview(session, desk.event, _hurried(desk, "12:50"), AT)
    (split,) = splits_of(session, desk.event, [(desk.player.id, drafts)], AT)
    assert split is not None and split.together is not None
    (together,) = split.together.shares
    assert len(split.parted.shares) == 2
    assert sum(share.count for share in split.parted.shares) == 4
    assert together.count == 4
    assert together.ready_at > max(share.ready_at for share in split.parted.shares)
    assert {place: quote.ready_at for place, quote in split.parted.quotes.items()} == {
        place: draft.quote.ready_at for place, draft in enumerate(drafts)
    }
    assert max(quote.ready_at for quote in split.together.quotes.values()) == together.ready_at


def test_a_visit_of_a_sheet_finds_the_ones_before_it_ahead(session: Session, desk: SmallDesk) -> None:
    """Both ways are those that the counter would show once the earlier visit was taken in."""
    other = make.make_player(session, desk.event)
    racquet = make.make_racquet(session, other, frame=desk.frame)
    wanted = {"needed_by_kind": "time", "needed_by_at": make.moment("Mon 12:25")}
    bag = [replace(desk.racquet_form(**wanted), racquet_id=racquet.id)]
    first = replace(desk.form(*bag, key="first"), player_id=other.id)
    second = _hurried(desk, "12:50")
    both = preview_all(session, desk.event, [first, second], AT)
    visits = [(other.id, both[0]), (desk.player.id, both[1])]
    split = splits_of(session, desk.event, visits, AT)[1]
    take_drop_off(session, desk.event.id, first, acting=make.acting("Mon 12:00"))
    (alone,) = splits_of(session, desk.event, [(desk.player.id, preview(session, desk.event, second, AT))], AT)
    assert split is not None and alone is not None and split.together is not None and alone.together is not None
    assert split.parted.shares == alone.parted.shares
    assert split.together.shares == alone.together.shares


def test_kept_together_it_is_pinned_to_the_one_stringer(session: Session, desk: SmallDesk) -> None:
    form = _hurried(desk, "12:50")
    one = desk.stringers[1].id
    form = replace(form, racquets=[replace(racquet, stringer_id=one) for racquet in form.racquets])
    drafts = preview(session, desk.event, form, AT)
    assert {draft.quote.stringer_id for draft in drafts} == {one}
    assert splits_of(session, desk.event, [(desk.player.id, drafts)], AT) == [None]
    visit = take_drop_off(session, desk.event.id, form, acting=make.acting("Mon 12:00"))
    assert {job.pinned_stringer_id for job in visit.jobs} == {one}
