"""Each player's own stringer and machine: the lead's choice, else the first plan's, else who strung most."""

import pytest
from sqlalchemy.orm import Session

from desk.models import Assignment, PlanRun, Player
from desk.queries.plan.own_bench import NOBODY, own_bench
from desk.queries.plan.spoken_bench import SpokenBenches, Wanted
from desk.queries.plan.workloads import build_moment
from desk.services.plan.own_benches import set_own_bench
from desk.services.team import team
from tests import make
from tests.services.small_desk import SmallDesk, small_desk


def _strung(session: Session, desk: SmallDesk, *benches: int) -> None:
    for number, bench in enumerate(benches):
        make.make_job(
            session,
            desk.player,
            racquet=desk.racquets[number],
            state="strung",
            stringer_id=desk.stringers[bench].id,
            machine_id=desk.machines[bench].id,
            started_at=make.moment(f"Mon {9 + number}:00"),
            finished_at=make.moment(f"Mon {9 + number}:20"),
        )


@pytest.fixture
def desk(session: Session) -> SmallDesk:
    return small_desk(session)


def test_nobody_stands_before_the_first_plan(session: Session, desk: SmallDesk) -> None:
    assert own_bench(session, desk.event, desk.player.id) == NOBODY


def test_who_strung_most_is_the_players_own_and_of_equals_the_first(session: Session, desk: SmallDesk) -> None:
    _strung(session, desk, 1, 0)
    own = own_bench(session, desk.event, desk.player.id)
    assert (own.stringer_id, own.machine_id, own.why) == (desk.stringers[1].id, desk.machines[1].id, "strung")
    _strung(session, desk, 0)
    assert own_bench(session, desk.event, desk.player.id).stringer_id == desk.stringers[0].id


def test_the_leads_choice_stands_over_it_and_brings_the_home_machine(session: Session, desk: SmallDesk) -> None:
    _strung(session, desk, 1, 1)
    set_own_bench(session, desk.event.id, desk.player.id, desk.stringers[0].id, None, acting=make.acting())
    own = own_bench(session, desk.event, desk.player.id)
    assert (own.stringer_id, own.machine_id, own.why) == (desk.stringers[0].id, desk.machines[0].id, "lead")
    set_own_bench(session, desk.event.id, desk.player.id, None, None, acting=make.acting())
    assert own_bench(session, desk.event, desk.player.id).why == "strung"


def test_the_workload_knows_one_own_stringer_and_not_everyone_who_ever_strung(
    session: Session, desk: SmallDesk
) -> None:
    _strung(session, desk, 1, 1, 0)
    make.make_job(session, desk.player, racquet=desk.racquets[3])
    history = build_moment(session, desk.event, make.moment("Mon 12:00")).workload.history[desk.player.code]
    assert (history.stringers, history.machines) == ((desk.stringers[1].code,), (desk.machines[1].code,))


def test_a_first_racquet_is_with_nobody_as_always(session: Session, desk: SmallDesk) -> None:
    first = desk.stringers[0]
    set_own_bench(session, desk.event.id, desk.player.id, first.id, None, acting=make.acting())
    at = make.moment("Mon 12:00")
    found = SpokenBenches(session, desk.event, at, [desk.player.id]).of(desk.player.id, first.id)
    assert (found.text, found.as_always) == (f"with {first.name}, as the lead chose", False)


def test_it_is_said_as_always_or_why_not(session: Session, desk: SmallDesk) -> None:
    _strung(session, desk, 0)
    first, second = desk.stringers
    at = make.moment("Mon 12:00")

    def said(stringer_id: int, **over: bool) -> str:
        found = SpokenBenches(session, desk.event, at, [desk.player.id]).of(desk.player.id, stringer_id, **over)
        return "" if found is None else found.text

    assert said(first.id) == f"with {first.name}, as always"
    assert said(second.id) == f"with {second.name}, not with {first.name} this time"
    make.make_job(
        session, desk.player, racquet=desk.racquets[3], state="on_machine", started_at=at, stringer_id=first.id
    )
    assert said(second.id) == f"with {second.name}, not with {first.name}, who is busy then"
    back = {"back_at": make.moment("Mon 14:00")}
    team.call_in_absent(session, desk.event.id, first.id, acting=make.acting("Mon 11:00"), **back)
    assert said(second.id) == f"with {second.name}, not with {first.name}, who is off until 14:00"
    assert said(second.id, on_court=True) == f"with {second.name}"
    assert session.get_one(Player, desk.player.id).own_stringer_id is None


def _not_with_the_first(session: Session, desk: SmallDesk, **wanted: object) -> str:
    benches = SpokenBenches(session, desk.event, make.moment("Mon 12:00"), [desk.player.id])
    found = benches.of(desk.player.id, desk.stringers[1].id, wanted=Wanted(**wanted))
    assert found is not None and benches.own_note(desk.player.id) == ""
    return found.beside.removeprefix(f"not with {desk.stringers[0].name}")


def test_who_may_not_string_gut_is_said_and_not_called_busy(session: Session, desk: SmallDesk) -> None:
    _strung(session, desk, 0)
    desk.stringers[0].strings_gut = False
    assert _not_with_the_first(session, desk) == " this time"
    assert _not_with_the_first(session, desk, gut=True) == ", who does not string natural gut"
    desk.stringers[0].is_trainee = True
    assert _not_with_the_first(session, desk, gut=True) == ", who does not string natural gut, as a trainee"


def test_who_has_begun_the_most_of_the_day_is_not_called_busy(session: Session, desk: SmallDesk) -> None:
    _strung(session, desk, 0, 0)
    desk.stringers[0].most_a_day = 3
    late, soon = make.moment("Mon 13:00"), make.moment("Mon 12:10")
    assert _not_with_the_first(session, desk, end_at=late) == ", who has begun 2 of at most 3 today"
    assert _not_with_the_first(session, desk, end_at=soon) == " this time"
    assert _not_with_the_first(session, desk, end_at=soon, taken=[desk.stringers[0].id]) == ", who is busy then"


def test_a_machine_of_another_kind_is_said(session: Session, desk: SmallDesk) -> None:
    _strung(session, desk, 0)
    desk.stringers[0].home_machine_id, desk.machines[1].kind = desk.machines[1].id, "lockout"
    assert _not_with_the_first(session, desk) == ", whose machine is of another kind"


def test_who_has_work_only_later_is_not_busy_then(session: Session, desk: SmallDesk) -> None:
    _strung(session, desk, 0)
    job = make.make_job(session, desk.player, racquet=desk.racquets[3])
    figures = {"change_number": 1, "status": "optimal", "total": 0, "bound": 0, "seconds": 0, "costs": {}}
    run = PlanRun(event_id=desk.event.id, made_at=make.moment("Mon 12:00"), unplaced=[], **figures)
    session.add(run)
    session.flush()
    desk.event.current_run_id = run.id
    times = {"start_at": make.moment("Mon 15:00"), "end_at": make.moment("Mon 15:20")}
    session.add(Assignment(run_id=run.id, job_id=job.id, **desk.bench(0), **times))
    session.flush()
    assert _not_with_the_first(session, desk, end_at=make.moment("Mon 13:00")) == " this time"
    assert _not_with_the_first(session, desk, end_at=make.moment("Mon 15:10")) == ", who is busy then"


def test_what_only_the_present_plan_says_is_no_always(session: Session, desk: SmallDesk) -> None:
    found = SpokenBenches(session, desk.event, make.moment("Mon 12:00"), [desk.player.id])
    whom = found.of(desk.player.id, desk.stringers[1].id)
    assert whom is not None and whom.text == f"with {desk.stringers[1].name}"
    assert found.of(desk.player.id, None) is None
