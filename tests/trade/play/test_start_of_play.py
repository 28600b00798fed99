"""When matches start: on the published table, as simulated, and as play goes on."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from desk.trade.play.match_length import changeover, length_given
from desk.trade.play.play import PlayMatch
from desk.trade.play.start_of_play import forecast
from tests.trade.make_play import EXACTLY_15, make_court, make_match, points_of, simulated_gaps, simulated_lengths

# Start of the k-th match, minutes after the first one's, all followed by, 15 minutes between; 1, 5, 10, 50, 90 %.
# Computed from "Tennis databases, files, and algorithms", Jeff Sackmann / Tennis Abstract (CC BY-NC-SA 4.0).
PUBLISHED = {
    "men_3": [
        (41, 77, 83, 116, 171),
        (126, 170, 184, 241, 309),
        (225, 271, 290, 363, 445),
        (326, 376, 399, 485, 578),
        (429, 483, 510, 607, 710),
    ],
    "women_3": [
        (33, 73, 80, 111, 168),
        (113, 162, 175, 232, 302),
        (209, 257, 276, 349, 434),
        (307, 357, 380, 467, 563),
        (405, 460, 486, 584, 691),
    ],
    "men_5": [
        (73, 109, 120, 171, 246),
        (198, 248, 268, 353, 449),
        (338, 396, 424, 530, 647),
        (484, 551, 585, 709, 842),
        (634, 708, 747, 886, 1034),
    ],
}


@pytest.mark.outside
@pytest.mark.parametrize("name", PUBLISHED)
def test_starts_lie_on_the_published_table(name):
    starts = forecast(make_court(6, first_at=600, format=name), 0, EXACTLY_15)
    for k, published in enumerate(PUBLISHED[name], 2):
        computed = [point - 600 for point in starts[str(k)].points()]
        assert computed == pytest.approx(published, abs=4)


def test_starts_agree_with_a_simulated_court():
    rng = np.random.default_rng(7)
    start, simulated = np.full(200_000, 660.0), {}
    names = ["women_3", "doubles", "men_5", "men_3"]
    for k, name in enumerate(names, 2):
        minutes = simulated_lengths(name, rng, len(start))
        start = start + np.where(minutes > 0, minutes + simulated_gaps(rng, len(start)), 0)
        simulated[str(k)] = np.quantile(start, [0.01, 0.05, 0.10, 0.50, 0.90])
    court = [replace(m, format=n) for m, n in zip(make_court(5), [*names, "men_3"], strict=True)]
    starts = forecast(court, 0)
    for key, expected in simulated.items():
        assert starts[key].points() == pytest.approx(expected, abs=2)


def test_the_first_match_of_a_court_starts_at_its_time():
    assert points_of(forecast(make_court(1), 0), "1") == [(660,) * 5]


def test_not_before_holds_a_match_back_and_no_more():
    court = make_court(3)
    free = forecast(court, 0)
    held = forecast([*court[:2], replace(court[2], start_kind="not_before", start_at_min=900)], 0)
    assert held["3"].points() == tuple(max(900, point) for point in free["3"].points())


def test_a_match_in_play_is_known_to_last():
    court = make_court(2)
    court[0] = replace(court[0], state="in_play", started_min=665)
    start = forecast(court, 785, EXACTLY_15)["2"].start
    expected = length_given("men_3", 120).shifted(665 + 15)
    assert (start.first, start.mean) == (expected.first, pytest.approx(expected.mean))


def test_the_second_set_under_way_moves_the_next_start():
    court = make_court(2)
    court[0] = replace(court[0], state="in_play", started_min=660)
    late = forecast([replace(court[0], sets_done=0), court[1]], 720)["2"]
    soon = forecast([replace(court[0], sets_done=1), court[1]], 720)["2"]
    assert soon.point(0.5) < late.point(0.5)


@pytest.mark.parametrize("state", ["finished", "retired"])
def test_after_a_match_is_over_only_the_changeover_is_unknown(state):
    court = make_court(2)
    court[0] = replace(court[0], state=state, started_min=660, ended_min=740)
    start = forecast(court, 741)["2"].start
    assert start.point(0.5) == pytest.approx(740 + changeover().point(0.5), abs=1)
    assert forecast(court, 770)["2"].start.first == 770


def test_a_walkover_lets_the_next_match_take_its_place():
    court = make_court(3)
    gone = forecast([replace(court[0], state="walkover"), *court[1:]], 600)
    assert points_of(gone, "2") == [(660,) * 5]
    assert gone["3"].points() == forecast(court, 600)["2"].points()


def test_a_cancelled_match_between_two_takes_no_time():
    court = make_court(3)
    gone = forecast([court[0], replace(court[1], state="cancelled"), court[2]], 600)
    assert gone["3"].points() == forecast(court, 600)["2"].points()


def test_an_overdue_match_may_start_any_minute():
    assert points_of(forecast(make_court(1), 700), "1") == [(700,) * 5]


def test_the_order_follows_what_was_begun_first():
    court = make_court(3)
    court[1] = replace(court[1], state="in_play", started_min=660)
    starts = forecast(court, 700)
    assert starts["1"].start.first > 700
    assert starts["3"].point(0.5) > starts["1"].point(0.5)


def test_no_matches_make_no_starts():
    assert forecast([], 0) == {}


def test_a_court_whose_first_match_was_moved_away_opens_with_the_day():
    matches = [*make_court(1), make_match("2", court="Court 2", position=2)]
    assert points_of(forecast(matches, 0), "2") == [(660,) * 5]


def test_play_after_midnight_belongs_to_its_day():
    night = make_court(2, first_at=1380)
    morning = make_match("D", court="Court 1", day=1, start_kind="at", start_at_min=1440 + 600)
    starts = forecast([*night, morning], 1000)
    assert starts["2"].point(0.01) > 1380
    assert starts["2"].point(0.5) > 1440
    assert points_of(starts, "D") == [(2040,) * 5]


def test_the_event_factor_stretches_the_lengths():
    usual, long = (forecast(make_court(2), 0, replace(EXACTLY_15, scale=scale))["2"] for scale in (1.0, 1.2))
    assert long.point(0.5) - 675 == pytest.approx(1.2 * (usual.point(0.5) - 675), abs=1)


def test_followed_matches_start_before_their_points_as_often_as_said():
    """Points as of the start of the match before: 2 to 9 % before the 5 % point, 35 to 65 % before the 50 %."""
    rng = np.random.default_rng(21)
    early = half = seen = 0
    for _ in range(120):
        court, now = make_court(4, format="women_3"), 660
        for k in range(3):
            court[k] = replace(court[k], state="in_play", started_min=now)
            start = forecast(court, now)[str(k + 2)]
            minutes = max(1, round(float(simulated_lengths("women_3", rng, 1)[0])))
            court[k] = replace(court[k], state="finished", ended_min=now + minutes)
            now += minutes + round(float(simulated_gaps(rng, 1)[0]))
            early += now < start.point(0.05)
            half += now < start.point(0.50)
            seen += 1
    assert 0.02 <= early / seen <= 0.09
    assert 0.35 <= half / seen <= 0.65


def test_a_match_of_the_input_stands_beside_its_start():
    match = make_court(1)[0]
    assert isinstance(match, PlayMatch)
    assert forecast([match], 0)["1"].match == match


@st.composite
def played_day(draw):
    """Up to four courts part way through a day, players shared across them."""
    now, matches = draw(st.integers(660, 1500)), []
    for court in range(draw(st.integers(1, 4))):
        over = draw(st.integers(0, 3))
        for k in range(1, draw(st.integers(1, 5)) + 1):
            known = {"state": "finished", "started_min": 600, "ended_min": 600 + k} if k <= over else {}
            if k == over + 1:
                known = draw(
                    st.sampled_from([{}, {"state": "in_play", "started_min": now - 40}, {"state": "walkover"}])
                )
            matches.append(
                make_match(
                    f"{court}-{k}", court=f"Court {court}", position=k,
                    format=draw(st.sampled_from(["men_3", "women_3", "men_5", "doubles"])),
                    start_kind=draw(st.sampled_from(["at", "not_before", "followed_by"])) if k > 1 else "at",
                    start_at_min=660 + 60 * k, players=(f"P{draw(st.integers(0, 9))}",), **known,
                )
            )  # fmt: skip
    return matches, now


@settings(max_examples=60, deadline=None)
@given(played_day())
def test_every_start_is_a_distribution_that_lies_ahead_and_keeps_the_court_in_order(day):
    matches, now = day
    starts = forecast(matches, now)
    for match in matches:
        start = starts[match.key]
        assert start.start.p.sum() == pytest.approx(1)
        assert (start.start.p >= 0).all()
        assert list(start.points()) == sorted(start.points())
        assert not match.to_come or start.start.first >= now
        before = starts.get(f"{match.court.removeprefix('Court ')}-{match.position - 1}")
        assert before is None or before.match.state != "in_play" or start.start.first > now
