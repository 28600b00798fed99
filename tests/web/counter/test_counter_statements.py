"""The counter's screens ask as many statements for sixty jobs as for three."""

from datetime import timedelta

import pytest

from desk.models import Assignment, Event
from tests import make
from tests.web import scene
from tests.web.conftest import House
from tests.web.statements import selects


def _more_jobs(session, event: Event, count: int) -> None:
    """Add planned, held and strung jobs of a player who has two racquets to hand in besides."""
    player = make.make_player(session, event)
    for number in range(count):
        state = ("waiting", "held", "strung")[number % 3]
        job = make.make_job(session, player, state=state, finished_at=make.moment("Mon 11:00"))
        start = make.moment("Mon 14:00") + timedelta(minutes=5 * number)
        place = {"start_at": start, "end_at": start + timedelta(minutes=22), "stringer_id": 1, "machine_id": 1}
        if state == "waiting":
            session.add(Assignment(run_id=event.current_run_id, job_id=job.id, **place))
    event.revision += 1


@pytest.mark.parametrize(
    "address", ["/now", "/now/lines", "/drop-off", "/drop-off/players?q=o", "/drop-off/1?take=all", "/on-court"]
)
def test_the_number_of_statements_does_not_grow_with_the_jobs(house: House, address: str) -> None:
    house.write(scene.fill)
    client = house.as_role("lead")
    counts = []
    for more in (3, 60):
        house.write(lambda session, event, more=more: _more_jobs(session, event, more))
        with selects(house.database) as found:
            assert client.get(address).status_code == 200
        counts.append(len(found))
    assert counts[0] == counts[1]


def test_home_is_a_304_from_one_statement_while_nothing_changed(house: House) -> None:
    house.write(scene.fill)
    client = house.as_role("lead")
    tag = client.get("/now/lines").headers["ETag"]
    with selects(house.database) as found:
        again = client.get("/now/lines", headers={"If-None-Match": tag})
    assert (again.status_code, again.data, len(found)) == (304, b"", 1)
