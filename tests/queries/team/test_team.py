"""The team in a fixed number of statements."""

from functools import partial

from sqlalchemy.orm import Session

from desk.models import Event
from desk.queries.team.team import stringer_rows, work_windows
from desk.services.team import team
from tests import make
from tests.make import acting, moment
from tests.statements import statements_after


def test_the_team_takes_a_fixed_number_of_statements(session: Session, event: Event) -> None:

    def more() -> None:
        stringer = make.make_stringer(session, event)
        team.call_in_absent(session, event.id, stringer.id, acting=acting())

    reads = [partial(query, session, event, moment("Mon 12:00")) for query in (work_windows, stringer_rows)]
    assert statements_after(session, more, *reads) == [[3, 6], [3, 6]]


def test_the_rows_count_what_each_has_strung(any_session: Session) -> None:
    event = make.make_event(any_session)
    first, second = make.make_stringer(any_session, event), make.make_stringer(any_session, event, pace_override=90)
    player = make.make_player(any_session, event)
    for state, finished_at in (("strung", moment("Mon 10:00")), ("strung", moment("Tue 10:00")), ("waiting", None)):
        make.make_job(any_session, player, state=state, finished_at=finished_at, stringer_id=first.id)
    rows = stringer_rows(any_session, event, moment("Tue 12:00"))
    counted = [(row.stringer_id, row.racquets_today, row.racquets, row.pace_override or row.pace) for row in rows]
    assert counted == [(first.id, 1, 2, 100), (second.id, 0, 0, 90)]
    before = stringer_rows(any_session, event, moment("Sun 12:00"))
    assert [row.racquets_today for row in before] == [0, 0]
