"""Players: added once, found again, and forgotten after the event without a figure changing."""

from decimal import Decimal

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict, NotFound
from desk.models import Base, Event, Job, LogEntry, Player
from desk.models.database import Database
from desk.queries.close import usage_report
from desk.queries.money.holders import Holder
from desk.queries.money.player_totals import player_totals
from desk.queries.players.players import find_players
from desk.queries.string.lengths import metres_by_job
from desk.services.bench import jobs
from desk.services.close import days
from desk.services.counter import handovers
from desk.services.machines import machines
from desk.services.money import charges, payments
from desk.services.plan.planning import Effort, plan_event
from desk.services.players import erasing, frames, players
from desk.services.players.frames import FrameForm
from desk.services.players.players import PlayerForm
from desk.services.string import new_reels, store
from tests import make
from tests.make import acting

NAME = "Zdenka Olmo-Brevik"


def add(session: Session, event: Event, name: str = NAME, **over: object) -> Player:
    return players.add_player(session, event.id, PlayerForm(name=name), acting=acting(), **over)


def test_a_new_player_is_found_at_once(any_session: Session) -> None:
    event = make.make_event(any_session)
    player = add(any_session, event, "  Łukasz   Ørn-Dévald ")
    assert player.name == "Łukasz Ørn-Dévald"
    assert [row.player_id for row in find_players(any_session, event, "dev")] == [player.id]


def test_codes_count_on(session: Session, event: Event) -> None:
    assert [add(session, event, name).code for name in ("A", "B")] == ["P001", "P002"]


def test_a_second_player_of_one_name_is_asked_about(session: Session, event: Event) -> None:
    add(session, event)
    with pytest.raises(Conflict, match="is a player already"):
        add(session, event, NAME.upper())
    assert add(session, event, is_namesake=True).code == "P002"


def test_a_player_without_a_name_is_refused(session: Session, event: Event) -> None:
    with pytest.raises(BadInput) as refused:
        players.add_player(session, event.id, PlayerForm(name=" ", hours_per_week=-1), acting=acting())
    assert set(refused.value.fields) == {"name", "hours_per_week"}


def test_a_new_link_kills_the_old_one(session: Session, event: Event) -> None:
    player = add(session, event)
    old = player.token
    new = players.new_token(session, event.id, player.id, acting=acting())
    assert new != old
    assert session.scalar(select(Player).where(Player.token == old)) is None


def test_a_racquet_gets_the_next_number(session: Session, event: Event) -> None:
    player, frame = add(session, event), make.make_frame(session, event)
    for number in (None, 5, None):
        racquet = players.add_racquet(session, event.id, player.id, frame.id, acting=acting(), number=number)
    assert racquet.number == 6
    with pytest.raises(BadInput, match="next free number, 7"):
        players.add_racquet(session, event.id, player.id, frame.id, acting=acting(), number=5)


def test_a_frame_that_cannot_be_is_refused_with_every_fault(session: Session, event: Event) -> None:
    form = FrameForm(name="", mains=4, crosses=19, head_sq_in=300, head_length_cm=40, tension_low=Decimal("50"))
    with pytest.raises(BadInput) as refused:
        frames.add_frame(session, event.id, form, acting=acting())
    assert set(refused.value.fields) == {
        "name", "mains", "head_sq_in", "head_length_cm", "head_width_cm", "tension_high",
    }  # fmt: skip


def test_a_printed_range_keeps_its_digits(session: Session, event: Event) -> None:
    form = FrameForm(
        name="Frame C", mains=16, crosses=19, tension_low=Decimal("22.0"), tension_high=Decimal("27"), tension_unit="kg"
    )
    frame = frames.add_frame(session, event.id, form, acting=acting())
    session.expire(frame)
    assert (str(frame.tension_low), frame.tension_unit) == ("22.0", "kg")


def test_a_player_of_another_event_is_not_found(session: Session, event: Event) -> None:
    player = add(session, make.make_event(session))
    with pytest.raises(NotFound, match="another event"):
        players.new_token(session, event.id, player.id, acting=acting())


def played(session: Session) -> tuple[Event, Player, Job]:
    """A player whose racquet was strung, charged, paid and collected by a coach, with words in every free text."""
    event = make.make_event(session, calibration_required=False)
    player = add(session, event, "Zdenka Olmo")
    form = PlayerForm(name=NAME, note="left-handed", phone="+44 1632 960101")
    players.edit_player(session, event.id, player.id, form, acting=acting("Mon 08:00"))
    reel = make.make_reel(session, make.make_string(session, event))
    make.make_price(session, event, "labour", 2000)
    machine = make.make_machine(session, event)
    stringer = make.make_stringer(session, event, home_machine_id=machine.id)
    job = make.make_job(session, player, card={"note": "for Zdenka Olmo-Brevik", "stencil": "Olmo-Brevik red"})
    job.drop_off.consent = "Zdenka Olmo-Brevik agreed"
    where, by = (session, event.id), {"acting": acting("Mon 10:00")}
    jobs.hold_job(*where, job.id, "Zdenka wants to see it first", **by)
    jobs.release_job(*where, job.id, **by)
    job.promises[-1].reason = "asked by Zdenka Olmo-Brevik"
    store.waste(*where, reel.id, 2, note="cut for ZDENKA OLMO-BREVIK", **by)
    machines.take_out_of_service(*where, machine.id, reason="Zdenka Olmo-Brevik spilled tea", **by)
    machines.put_back_in_service(*where, machine.id, acting=acting("Mon 10:30"))
    jobs.start_job(*where, job.id, stringer_id=stringer.id, machine_id=machine.id, acting=acting("Mon 11:00"))
    jobs.finish_job(*where, job.id, jobs.Finish(checks=tuple(jobs.BENCH_CHECKS)), acting=acting())
    payments.settle(
        *where, Holder.of(player), 2000, method="prize_money", acting=acting(), note="signed Zdenka Olmo-Brevik"
    )
    handovers.hand_over(*where, [job.id], collected_by="Coach Varga", acting=acting("Mon 13:00"))
    other = make.make_job(
        session, add(session, event, "Pia Kjeld"), state="strung", card={"note": "as Zdenka Olmo-Brevik"}
    )
    handovers.hand_over(*where, [other.id], collected_by=NAME, acting=acting("Mon 13:00"))
    days.close_day(*where, event.days[0].id, acting=acting("Mon 22:30"))
    days.correct_day(*where, event.days[0].id, note="Zdenka Olmo-Brevik paid twice", acting=acting("Mon 23:00"))
    return event, player, job


def planned(database: Database, event_id: int) -> None:
    """Store a plan and its reasons of what waits on Wednesday."""
    with database.writing() as session:
        player = session.scalars(select(Player).where(Player.name == NAME)).one()
        needed = make.moment("Wed 08:05")
        for _ in range(2):
            make.make_job(session, player, needed_by_at=needed, racquet=make.make_racquet(session, player))
    plan_event(database, event_id, at=make.moment("Wed 08:00"), effort=Effort(steps=200))
    with database.writing() as session:
        for job in session.scalars(select(Job).where(Job.state == "waiting")):
            jobs.cancel_job(session, event_id, job.id, "Zdenka Olmo-Brevik went home", acting=acting("Wed 09:00"))


def test_erased_data_leave_the_figures_whole(any_session: Session) -> None:
    event, player, job = played(any_session)
    at = make.moment("Wed 23:30")
    before, sheet = player_totals(any_session, event)[0], usage_report(any_session, event, None, at=at)
    monday = usage_report(any_session, event, event.days[0].date, at=at)
    metres = metres_by_job(any_session, event)[job.id]
    erasing.erase_player(any_session, event.id, player.id, acting=acting("Wed 23:00"))
    after = next(row for row in player_totals(any_session, event) if row.player_id == player.id)
    figures = ("racquets", "charged_minor", "prize_money_minor", "open_minor", "tax_minor")
    assert [getattr(after, name) for name in figures] == [getattr(before, name) for name in figures]
    assert metres_by_job(any_session, event)[job.id] == metres
    assert any_session.get_one(Job, job.id).state == "handed_over"
    assert usage_report(any_session, event, None, at=at).summary == sheet.summary
    again = usage_report(any_session, event, event.days[0].date, at=at)
    assert again.summary == monday.summary
    assert [len(again.corrections), len(again.jobs)] == [len(monday.corrections), len(monday.jobs)]


@pytest.mark.slow
def test_erased_data_stand_in_no_column_of_any_table(any_database: Database) -> None:
    with any_database.writing() as session:
        event, player, _ = played(session)
        token = player.token
    planned(any_database, event.id)
    words = ("zdenka", "olmo", "brevik", "varga", "left-handed", "960101", token.lower())
    assert {word for word in words if word in every_value(any_database)} == set(words)
    with any_database.writing() as session:
        erasing.erase_player(session, event.id, player.id, acting=acting("Wed 23:00"))
    values = every_value(any_database)
    assert [line for line in values.splitlines() if any(word in line for word in words)] == []
    assert "p001" in values and "pia kjeld" in values


def every_value(database: Database) -> str:
    """Return every value of every column of every table, text or not, as one lower-case text."""
    with database.reading() as session:
        rows = [row for table in Base.metadata.sorted_tables for row in session.execute(select(table)).all()]
    return "\n".join(str(value) for row in rows for value in row).lower()


def test_the_same_player_at_another_event_stays(session: Session) -> None:
    event, player, _ = played(session)
    other = make.make_event(session)
    add(session, other)
    erasing.erase_player(session, event.id, player.id, acting=acting("Wed 23:00"))
    lines = session.scalars(select(LogEntry.text).where(LogEntry.event_id == other.id)).all()
    assert lines == [f"{NAME} added as P001"]
    assert [row.name for row in find_players(session, other, "zdenka")] == [NAME]


def test_a_namesake_keeps_their_own_name(session: Session) -> None:
    event, player, _ = played(session)
    namesake = add(session, event, NAME, is_namesake=True)
    erasing.erase_player(session, event.id, player.id, acting=acting("Wed 23:00"))
    assert (namesake.name, player.name) == (NAME, "P001")


def test_an_erased_player_is_found_no_more(session: Session) -> None:
    event, player, _ = played(session)
    erasing.erase_player(session, event.id, player.id, acting=acting("Wed 23:00"))
    assert find_players(session, event, "zdenka") == []
    with pytest.raises(Conflict, match="were erased"):
        players.new_token(session, event.id, player.id, acting=acting("Wed 23:01"))


def test_nobody_is_erased_before_the_event_is_over(session: Session) -> None:
    event, player, _ = played(session)
    with pytest.raises(Conflict, match="is not over"):
        erasing.erase_player(session, event.id, player.id, acting=acting("Wed 21:59"))


def test_nobody_is_erased_who_still_owes(session: Session) -> None:
    event, player, _ = played(session)
    charges.add_charge(session, event.id, player.id, 450, acting=acting(), text="Overgrip")
    with pytest.raises(Conflict, match=r"is open \(€4\.50\)"):
        erasing.erase_player(session, event.id, player.id, acting=acting("Wed 23:00"))


def test_nobody_is_erased_whose_racquet_is_here(session: Session) -> None:
    event, player, _ = played(session)
    make.make_job(session, player, code="J0077")
    with pytest.raises(Conflict, match="still has J0077 at the desk"):
        erasing.erase_player(session, event.id, player.id, acting=acting("Wed 23:00"))


def test_a_name_within_another_word_stays(session: Session, event: Event) -> None:
    player = add(session, event, "Li")
    session.add(LogEntry(event_id=event.id, at=acting().at, by="lead", subject="jobs", text="Li and Lise are here"))
    session.flush()
    erasing.erase_player(session, event.id, player.id, acting=acting("Wed 23:00"))
    assert "P001 and Lise are here" in session.scalars(select(LogEntry.text)).all()


def test_string_of_an_erased_player_stays_in_the_store(session: Session) -> None:
    event, player, _ = played(session)
    string = make.make_string(session, event)
    new = new_reels.NewReels(string_id=string.id, metres=30, owner_id=player.id)
    (reel,) = new_reels.add_reels(session, event.id, new, acting=acting())
    erasing.erase_player(session, event.id, player.id, acting=acting("Wed 23:00"))
    assert reel.owner_id == player.id
