"""Hybrids of which the player brings one half: metres, charge, order and foresight, each half for itself."""

from dataclasses import dataclass

import pytest
from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict
from desk.models import Event, Job, Player, StringType
from desk.models.database import Database
from desk.queries.string.foresight import foresee, open_needs
from desk.queries.string.lengths import metres_by_job
from desk.queries.string.orders import order_rows
from desk.queries.string.store import reel_rows
from desk.services.counter.drop_offs import take_drop_off
from desk.services.money import charges
from desk.services.string import store, string_use
from desk.trade.racquet.string_length import LengthFactors
from tests import make
from tests.services.small_desk import small_desk

HALVES = (("mains", "crosses"), ("crosses", "mains"))


@dataclass
class Desk:
    """A polyester of the desk on reel D1, and a gut of which the desk has nothing."""

    session: Session
    event: Event
    player: Player
    poly: StringType
    gut: StringType

    def hybrid(self, own: str, **over: object) -> Job:
        strings = {f"{part}_string_id": (self.gut if part == own else self.poly).id for part in ("mains", "crosses")}
        return make.make_job(self.session, self.player, card={**strings, f"own_{own}": True}, **over)

    def use(self, job: Job) -> None:
        string_use.use_for_job(self.session, self.event, job, acting=make.acting(), used=make.cut(6.0, 5.0))

    def reels(self) -> dict[str, tuple[float, float]]:
        """Used and left by reel."""
        return {row.code: (row.used_m, row.left_m) for row in reel_rows(self.session, self.event)}


def set_up(session: Session) -> Desk:
    event = make.make_event(session)
    poly = make.make_string(session, event, code="POLY", name="Tarn Poly")
    gut = make.make_string(session, event, code="GUT", name="Fell Gut", gauge_mm=1.3, material="natural_gut")
    make.make_reel(session, poly, code="D1", metres=100)
    return Desk(session, event, make.make_player(session, event), poly, gut)


@pytest.fixture
def desk(database: Database):
    with database.writing() as session:
        yield set_up(session)


@pytest.mark.parametrize(("own", "of_desk"), HALVES)
def test_only_the_desks_half_goes_from_the_desks_reel(any_session: Session, own: str, of_desk: str) -> None:
    desk = set_up(any_session)
    job = desk.hybrid(own)
    desk.use(job)
    metres = {"mains": 6.0, "crosses": 5.0}
    assert desk.reels() == {
        "D1": (metres[of_desk], 100 - metres[of_desk]),
        f"loose-GUT-{desk.player.code}": (metres[own], 0),
    }
    assert metres_by_job(any_session, desk.event)[job.id].total_m == 11


@pytest.mark.parametrize(("own", "of_desk"), HALVES)
def test_the_players_half_is_cut_from_their_reel_where_they_left_one(desk: Desk, own: str, of_desk: str) -> None:
    make.make_reel(desk.session, desk.gut, code="P1", metres=50, owner_id=desk.player.id)
    desk.use(desk.hybrid(own))
    metres = {"mains": 6.0, "crosses": 5.0}
    assert {code: used for code, (used, _) in desk.reels().items()} == {"D1": metres[of_desk], "P1": metres[own]}


@pytest.mark.parametrize(("own", "amount"), [("mains", 5 * 120), ("crosses", 6 * 120)])
def test_only_the_desks_half_is_charged_by_the_metre(desk: Desk, own: str, amount: int) -> None:
    make.make_price(desk.session, desk.event, "string", 120, per="metre")
    job = desk.hybrid(own)
    desk.use(job)
    written = charges.charge_job(desk.session, desk.event, job, acting=make.acting())
    metres = 5 if own == "mains" else 6
    assert [(one.text, one.amount_minor) for one in written] == [(f"String Tarn Poly 1.25, {metres} m", amount)]


@pytest.mark.parametrize(("own", "of_desk"), HALVES)
def test_only_the_desks_half_is_charged_by_the_set(desk: Desk, own: str, of_desk: str) -> None:
    for string, price in ((desk.poly, 1500), (desk.gut, 4000)):
        make.make_price(desk.session, desk.event, "string", price, per="set", string_type_id=string.id)
    job = desk.hybrid(own)
    desk.use(job)
    written = charges.charge_job(desk.session, desk.event, job, acting=make.acting())
    assert [(one.text, one.amount_minor) for one in written] == [("String Tarn Poly 1.25", 750)]


@pytest.mark.parametrize(("own", "of_desk"), HALVES)
def test_a_half_of_the_desk_that_is_not_there_is_missing(desk: Desk, own: str, of_desk: str) -> None:
    store.correct_reel(desk.session, desk.event.id, 1, 3, acting=make.acting(), note="measured")
    job = desk.hybrid(own, state="waiting")
    (cannot,) = foresee(desk.session, desk.event).cannot_string
    assert (cannot.job_code, cannot.part, cannot.longest_m, cannot.own_string) == (job.code, of_desk, 3, False)
    with pytest.raises(Conflict, match=f"has 3 m left, the {of_desk} of {job.code} need"):
        desk.use(job)
    assert {code: used for code, (used, _) in desk.reels().items()} == {"D1": 0}


@pytest.mark.parametrize(("own", "of_desk"), HALVES)
def test_a_players_reel_that_runs_out_is_foreseen_for_its_half(desk: Desk, own: str, of_desk: str) -> None:
    make.make_reel(desk.session, desk.gut, code="P1", metres=4, owner_id=desk.player.id)
    job = desk.hybrid(own)
    (cannot,) = foresee(desk.session, desk.event).cannot_string
    assert (cannot.job_code, cannot.part, cannot.longest_m, cannot.own_string) == (job.code, own, 4, True)


@pytest.mark.parametrize(("own", "of_desk"), HALVES)
def test_only_the_desks_half_is_ordered(desk: Desk, own: str, of_desk: str) -> None:
    desk.hybrid(own)
    (need,) = [one.need for one in open_needs(desk.session, desk.event, LengthFactors())]
    (row,) = order_rows(desk.session, desk.event, make.moment("Wed 13:00"))
    assert (row.string_id, row.waiting_m) == (desk.poly.id, round(need.bed[of_desk].metres, 1))


def test_one_string_of_two_owners_is_cut_from_both(desk: Desk) -> None:
    make.make_reel(desk.session, desk.poly, code="P1", metres=50, owner_id=desk.player.id)
    card = {"mains_string_id": desk.poly.id, "crosses_string_id": desk.poly.id, "own_mains": True}
    desk.use(make.make_job(desk.session, desk.player, card=card))
    assert {code: used for code, (used, _) in desk.reels().items()} == {"D1": 5, "P1": 6}


@pytest.mark.parametrize("card", [{"mains": {"own": True}}, {"crosses": {"own": True}}])
def test_string_of_two_owners_in_one_piece_is_refused(session: Session, card: dict) -> None:
    desk = small_desk(session)
    form = desk.form(desk.racquet_form(card={"pieces": 1, **card}))
    with pytest.raises(BadInput, match="always two pieces"):
        take_drop_off(session, desk.event.id, form, acting=make.acting())


def test_two_strings_in_one_piece_are_refused(session: Session) -> None:
    desk = small_desk(session)
    other = make.make_string(session, desk.event, name="String B")
    form = desk.form(desk.racquet_form(card={"pieces": 1, "crosses": {"string_id": other.id}}))
    with pytest.raises(BadInput, match="always two pieces"):
        take_drop_off(session, desk.event.id, form, acting=make.acting())
