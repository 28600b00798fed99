"""The morning's question on Now before opening."""

from desk.models import Event
from desk.queries.rehearsal.morning import morning
from tests import make
from tests.web.conftest import House


def fill(session, event) -> None:
    """Three matches at nine with six players, and one stringer at one machine."""
    machine = make.make_machine(session, event)
    make.make_stringer(session, event, home_machine_id=machine.id)
    for _ in range(3):
        pair = [make.make_player(session, event) for _ in range(2)]
        make.make_match(session, make.make_court(session, event), day=event.days[0], players=pair, start="at 11:00")


def asked(house: House, text: str):
    """The morning of the house at that time."""
    with house.database.reading() as session:
        return morning(session, session.get_one(Event, house.event_id), make.moment(text))


def test_before_opening_it_says_what_comes_and_where_it_gets_tight(house: House) -> None:
    house.write(fill)
    house.write(lambda session, event: make.make_machine(session, event) and None)
    found = asked(house, "Mon 07:00")
    assert (found.matches, found.hands, found.waiting) == (3, 1, 0)
    assert found.expected > 4
    assert found.over > found.over_with_one_more
    assert found.tight_from < found.tight_to
    assert found.caught_up is None or found.caught_up > found.tight_to
    assert "racquets more than hands" in page(house, "Mon 07:00")


def test_who_comes_later_is_no_hand_at_the_opening(house: House) -> None:
    def with_an_afternoon(session, event) -> None:
        fill(session, event)
        machine = make.make_machine(session, event)
        make.make_stringer(session, event, home_machine_id=machine.id, hours=[("14:00", "20:00")])

    house.write(with_an_afternoon)
    found = asked(house, "Mon 07:00")
    assert (found.hands, found.later) == (1, ((make.moment("Mon 14:00"), 1),))
    assert "1 stringer on shift when the desk opens, 1 more from 14:00." in page(house, "Mon 07:00")


def test_one_stringer_more_than_machines_is_no_help(house: House) -> None:
    house.write(fill)
    found = asked(house, "Mon 07:00")
    assert found.over_with_one_more == found.over > 0
    assert "would find no free machine" in page(house, "Mon 07:00")


def test_once_the_desk_is_open_the_work_itself_is_shown(house: House) -> None:
    house.write(fill)
    assert asked(house, "Mon 12:00") is None
    assert "more than hands" not in page(house, "Mon 12:00")


def page(house: House, text: str) -> str:
    """Now at that time."""
    house.write(lambda session, event: make.set_clock(event, text))
    return house.as_role("lead").get("/now").text
