"""Who may string what: the workload's lists obey, and what cannot be done says why."""

import pytest
from sqlalchemy.orm import Session

from desk.errors import Conflict
from desk.queries.counter.drop_off_preview import preview
from desk.queries.plan.who_may import why_nobody, within_most
from desk.queries.plan.workloads import build_moment
from desk.services.bench import jobs
from desk.services.plan import hand_moves
from desk.services.plan.planning import Effort, solve
from tests import make
from tests.services.small_desk import SmallDesk

NOW = make.acting()


def _gut_job(session: Session, desk: SmallDesk):
    desk.string.material = "natural_gut"
    card = {"mains_string_id": desk.string.id, "crosses_string_id": desk.string.id}
    return make.make_job(session, desk.player, racquet=desk.racquets[0], card=card)


def test_gut_goes_only_to_those_who_string_it(session: Session, desk: SmallDesk) -> None:
    job = _gut_job(session, desk)
    assert build_moment(session, desk.event, NOW.at).workload.job_by_id[job.plan_name].stringers is None
    desk.stringers[0].strings_gut = False
    lists = build_moment(session, desk.event, NOW.at).workload.job_by_id[job.plan_name].stringers
    assert lists == (desk.stringers[1].code,)
    (draft,) = preview(session, desk.event, desk.form(desk.racquet_form(1)), NOW.at)
    assert draft.quote is not None and draft.quote.stringer_id == desk.stringers[1].id


def test_a_trainee_takes_neither_gut_nor_what_comes_from_the_court(session: Session, desk: SmallDesk) -> None:
    desk.stringers[0].is_trainee = True
    court = make.make_job(session, desk.player, racquet=desk.racquets[1], on_court=True)
    plain = make.make_job(session, desk.player, racquet=desk.racquets[2])
    by_id = build_moment(session, desk.event, NOW.at).workload.job_by_id
    assert by_id[court.plan_name].stringers == (desk.stringers[1].code,)
    assert by_id[plain.plan_name].stringers is None


def test_what_may_not_be_done_says_why(session: Session, desk: SmallDesk) -> None:
    job = _gut_job(session, desk)
    first = desk.stringers[0]
    first.strings_gut = False
    bench = {"stringer_id": first.id, "machine_id": desk.machines[0].id}
    with pytest.raises(Conflict, match=f"{first.name} does not string natural gut"):
        jobs.start_job(session, desk.event.id, job.id, acting=NOW, **bench)
    with pytest.raises(Conflict, match="does not string natural gut"):
        hand_moves.pin_job(session, desk.event.id, job.id, hand_moves.HandMove(**bench), acting=NOW)
    first.strings_gut, first.most_a_day = True, 0
    with pytest.raises(Conflict, match="the most that was set"):
        jobs.start_job(session, desk.event.id, job.id, acting=NOW, **bench)


def test_the_hours_hold_no_more_racquets_than_the_most_of_a_day() -> None:
    day = (make.moment("Mon 08:00"), make.moment("Mon 20:00"))
    hours = [(make.moment("Mon 09:00"), make.moment("Mon 10:00")), (make.moment("Mon 11:00"), make.moment("Mon 12:00"))]
    assert within_most(hours, None, 3, 20, [day]) == hours
    assert within_most(hours, 5, 1, 20, [day]) == [hours[0], (hours[1][0], make.moment("Mon 11:20"))]
    assert within_most(hours, 5, 5, 20, [day]) == []


def _reason(session: Session, desk: SmallDesk) -> str:
    session.flush()
    found = build_moment(session, desk.event, NOW.at)
    return next(iter(solve(found, Effort(seconds=5, steps=50))[1].values()), "")


def test_a_racquet_that_nobody_may_string_says_of_each_why(session: Session, desk: SmallDesk) -> None:
    _gut_job(session, desk)
    first, second = desk.stringers
    first.strings_gut, second.is_trainee = False, True
    assert _reason(session, desk) == (
        f"Nobody on the team may take it. {first.name} does not string natural gut. "
        f"{second.name} does not string natural gut, as a trainee. Change it under Team."
    )


def test_whoever_lacks_least_is_named_first_and_a_small_team_whole(session: Session, desk: SmallDesk) -> None:
    others = [make.make_stringer(session, desk.event, strings_gut=False, strings_on_court=False) for _ in range(6)]
    desk.stringers[0].is_trainee, desk.stringers[1].strings_gut, others[1].strings_gut = True, False, True
    team = [*desk.stringers, *others]
    few = why_nobody(team[:4], gut=True, on_court=True)
    assert all(one.name in few for one in team[:4]) and " more." not in few
    said = why_nobody(team, gut=True, on_court=True)
    assert said.startswith(
        f"Nobody on the team may take it. {team[1].name} does not string natural gut. "
        f"{others[1].name} takes nothing from the court. "
    )
    assert desk.stringers[0].name not in said and "And 2 more." in said


def test_a_racquet_without_a_place_says_who_has_begun_the_most_of_the_day(session: Session, desk: SmallDesk) -> None:
    make.make_job(session, desk.player, racquet=desk.racquets[0], needed_by_at=make.moment("Mon 13:00"))
    first, second = desk.stringers
    first.most_a_day, second.shifts = 0, []
    assert _reason(session, desk).endswith(f"{first.name} has begun 0 of at most 0 today.")
    first.most_a_day = 40
    assert _reason(session, desk) == ""


def test_the_most_of_a_day_is_named_only_where_it_stops_the_racquet(session: Session, desk: SmallDesk) -> None:
    make.make_job(session, desk.player, racquet=desk.racquets[0], needed_by_at=make.moment("Mon 12:05"))
    first, second = desk.stringers
    first.most_a_day, second.shifts = 8, []
    assert _reason(session, desk).startswith("Even alone") and "at most" not in _reason(session, desk)
