"""Events drawn by a number: the same again, the published lengths, and racquets as the habits say."""

from dataclasses import replace

import numpy as np
import pytest

from desk.trade.play.match_length import length
from desk.trade.play.play import PlaySettings
from desk.trade.play.start_of_play import forecast
from desk.trade.rehearsed.draw_sizes import DayHours, filled_in, usual_matches
from desk.trade.rehearsed.drawn_play import Rain, drawn_length, dry, played_until
from desk.trade.rehearsed.drawn_racquets import draw_event
from desk.trade.rehearsed.habits import Brought, Habits, habits_of
from desk.trade.rehearsed.needed_by_moves import CourtPoints
from desk.trade.rehearsed.picture import Card, Picture, Risks
from tests.trade.make_play import make_match

DAYS = tuple(DayHours(number=n, midnight=1440 * n, opens=1440 * n + 480, closes=1440 * n + 1260) for n in range(3))
PLAYERS = tuple(f"P{n}" for n in range(16))
CERTAIN = Risks(spread=0, rain=0, machine_fails=0, stringer_away=0)


def picture(**over):
    """Sixteen players, three days of 8, 4 and 2 matches on four courts."""
    matches = filled_in([], DAYS, PLAYERS, (8, 4, 2), ("A", "B", "C", "D"), 660)
    usual = {"days": DAYS, "matches": matches, "players": PLAYERS, "risks": CERTAIN}
    return Picture(**usual | over)


def test_the_same_number_draws_the_same_event_and_another_another():
    assert draw_event(picture(), 3) == draw_event(picture(), 3)
    assert draw_event(picture(), 3) != draw_event(picture(), 4)


@pytest.mark.outside
@pytest.mark.parametrize("name", ["men_3", "women_3", "men_5", "doubles"])
def test_drawn_lengths_have_the_published_middle_and_ends(name):
    """The mixtures computed from Tennis Abstract (match_figures), retirements in: median and 5 and 95 % points."""
    dice = np.random.default_rng(1)
    drawn = [minutes for minutes, walkover in (drawn_length(name, 1.0, dice) for _ in range(8000)) if not walkover]
    for share in (0.05, 0.5, 0.95):
        assert np.quantile(drawn, share) == pytest.approx(length(name).point(share), rel=0.04)


@pytest.mark.outside
@pytest.mark.slow
def test_drawn_starts_lie_where_the_desk_reckons_them():
    """The desk's own start-of-play figures: 5 in 100 starts before the 5 % point, half before the median."""
    of = picture()
    late = [m.key for m in of.matches if m.start_kind == "followed_by" and m.day == 0]
    starts = {key: [] for key in late}
    for number in range(600):
        for one in draw_event(replace(of, habits=Habits(racquets=(0,))), number).played:
            if one.match.key in starts:
                starts[one.match.key].append(one.start)
    for key in late:
        assert np.mean(np.array(starts[key]) < of.points[key]) == pytest.approx(0.05, abs=0.03)
        assert np.mean(np.array(starts[key]) < of.expected[key]) == pytest.approx(0.5, abs=0.07)


def test_racquets_come_as_the_habits_say():
    habits = Habits(racquets=(2,), ahead_min=(200,), on_court=0, practice=0)
    drawn = draw_event(picture(habits=habits), 1)
    assert len(drawn.racquets) == 2 * sum(len(one.players) for one in drawn.played)
    first_day = [one for one in drawn.racquets if one.match.startswith("D1-")]
    assert {one.due for one in first_day} <= {picture().points[m.key] - 30 for m in picture().matches}
    assert sorted({one.weight for one in drawn.racquets}) == [5, 10]


def test_players_of_a_later_round_come_after_their_match_and_only_those_who_won():
    drawn = draw_event(picture(), 2)
    by_match = {one.match.key: one for one in drawn.played}
    for one in drawn.played:
        for feeder in one.match.feeders:
            assert len(set(by_match[feeder].players) & set(one.players)) == 1
    second = {p: one for one in drawn.played if one.match.day == 1 for p in one.players}
    for racquet in drawn.racquets:
        if racquet.match.startswith("D2-") and not racquet.on_court:
            feeders = [by_match[f] for f in second[racquet.player].match.feeders]
            assert racquet.known > min(f.end for f in feeders if racquet.player in f.players)


def test_nobody_comes_while_the_desk_is_closed():
    habits = Habits(racquets=(3,), ahead_min=(900, 700, 1300), on_court=0)
    at = [one.known for one in draw_event(picture(habits=habits), 5).racquets]
    assert all(any(day.opens <= minute < day.closes for day in DAYS) for minute in at)


def test_cards_of_a_player_are_drawn_for_that_player_and_others_take_any():
    cards = {"P0": (Card(minutes=33),), "P1": (Card(minutes=44),)}
    for one in draw_event(picture(cards=cards), 1).racquets:
        assert one.card.minutes in ({33} if one.player == "P0" else {44} if one.player == "P1" else {33, 44})


def test_failures_come_at_the_rates_set():
    of = picture(machines=("M1",), risks=replace(CERTAIN, machine_fails=1.0))
    assert len(draw_event(of, 1).failures) == 3
    assert draw_event(picture(machines=("M1",)), 1).failures == []


def test_rain_holds_matches_back():
    rain = [Rain(start=100, end=160)]
    assert (dry(99, rain), dry(100, rain), dry(160, rain)) == (99, 160, 160)
    assert played_until(50, 70, rain) == 180
    assert played_until(50, 40, rain) == 90


def test_the_news_of_a_court_agree_with_the_forecast_of_the_desk():
    first = make_match("1", position=1, start_kind="at", start_at_min=660, court="A", format="men_3")
    second = make_match("2", position=2, court="A", format="men_3")
    played = replace(first, state="finished", started_min=660, ended_min=780)
    one = draw_event(picture(), 1).played[0]
    moves = CourtPoints.of((first, second), PlaySettings(), 0.05).moves(replace(one, match=first, start=660, end=780))
    begun = forecast([replace(first, state="in_play", started_min=660), second], 660)["2"].point(0.05)
    still = forecast([replace(first, state="in_play", started_min=660), second], 740)["2"].point(0.05)
    over = forecast([played, second], 780)["2"].point(0.05)
    found = {move.at: move.point for move in moves}
    assert found[660] == pytest.approx(begun, abs=2)
    assert found[740] == pytest.approx(still, abs=2)
    assert found[780] == pytest.approx(over, abs=2)


@pytest.mark.outside
def test_matches_a_day_are_those_of_the_nearest_published_draw():
    """One tour, mean by day (Tennis Abstract, match days from public result files): 32 draw 5, 9, 6, 5, 4, 2, 1."""
    assert usual_matches(30, 7) == (5, 9, 6, 5, 4, 2, 1)
    assert usual_matches(32, 9) == (0, 0, 5, 9, 6, 5, 4, 2, 1)
    assert usual_matches(32, 5) == (20, 5, 4, 2, 1)
    assert sum(usual_matches(96, 12)) == 95


def test_a_small_draw_plays_a_round_a_day():
    assert usual_matches(16, 5) == (0, 8, 4, 2, 1)
    assert usual_matches(6, 2) == (4, 1)
    assert usual_matches(1, 2) == (0, 0)


def test_days_with_an_order_of_play_are_left_as_they_are():
    known = make_match("M1", day=0, start_kind="at", start_at_min=700)
    found = filled_in([known], DAYS, PLAYERS, (8, 4, 2), (), 660)
    assert [m for m in found if m.day == 0] == [known]
    assert sum(m.day == 1 for m in found) == 4


def test_habits_are_counted_from_enough_visits_and_assumed_from_fewer():
    brought = [
        Brought(player=f"P{n}", at_min=400, day=0, match=f"M{n // 2}", on_court=False) for n in range(14) for _ in "ab"
    ]
    brought.append(Brought(player="P0", at_min=700, day=0, match="M0", on_court=True))
    brought.append(Brought(player="P0", at_min=500, day=0, match=None, on_court=False, for_practice=True))
    starts = {f"M{n}": 660 for n in range(8)}
    players = {f"M{n}": (f"P{2 * n}", f"P{2 * n + 1}") for n in range(8)}
    habits = habits_of(brought, starts, players, days=1)
    assert habits.racquets == (0, 0, *(2,) * 14)
    assert set(habits.ahead_min) == {260}
    assert (habits.on_court, habits.known) == (1 / 16, 14)
    assert habits.practice == pytest.approx(1 / 14)
    assert habits_of(brought[:6], starts, players, days=1) == Habits()


def test_racquets_can_be_set_to_a_mean():
    assert Habits().with_racquets(2.5).mean_racquets == pytest.approx(2.5)
