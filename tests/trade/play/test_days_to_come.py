"""Days of which nothing has begun are reckoned once; the starts are those of the whole order of play."""

from dataclasses import replace

import pytest

from desk.trade.play import start_of_play
from desk.trade.play.play import PlayMatch, PlaySettings, PlayStop
from desk.trade.play.start_of_play import forecast

DAY = 24 * 60
NOW = 12 * 60
DRY, WET = PlaySettings(), PlaySettings(stops=(PlayStop(NOW - 30, NOW + 60),))
RAINED = PlaySettings(stops=(PlayStop(0, 60),))


def order_of_play(*, opens: int = 11 * 60) -> list[PlayMatch]:
    """Three days on two courts; the players of a day meet the winners of the day before, and one another again."""
    found = []
    for day in range(3):
        for number in range(6):
            turn, court = divmod(number, 2)
            first = {"start_kind": "at", "start_at_min": day * DAY + opens} if turn == 0 else {}
            feeders = (f"D{day - 1}M{number}",) if day and number % 3 == 0 else ()
            players = (f"p{number}",) if feeders else (f"p{number}", f"p{number + 6}")
            found.append(
                PlayMatch(
                    key=f"D{day}M{number}",
                    court=f"Court {court}",
                    position=turn + 1,
                    format="men_3",
                    day=day,
                    players=players,
                    feeders=feeders,
                    **first,
                )
            )
    return found


def begun(matches: list[PlayMatch]) -> list[PlayMatch]:
    """The first match of each court of the first day is on."""
    return [
        replace(one, state="in_play", started_min=11 * 60) if one.day == 0 and one.position == 1 else one
        for one in matches
    ]


@pytest.mark.parametrize("settings", [DRY, WET, RAINED])
@pytest.mark.parametrize("opens", [11 * 60, 60, 1])
def test_days_to_come_start_as_in_the_whole_order_of_play(
    settings: PlaySettings, opens: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where a day opens soon after midnight, the night before bears on it."""
    matches = begun(order_of_play(opens=11 * 60)[:6]) + order_of_play(opens=opens)[6:]
    found = forecast(matches, NOW, settings)
    monkeypatch.setattr(start_of_play, "_days_to_come", lambda *_: {})
    whole = forecast(matches, NOW, settings)
    assert list(found) == list(whole)
    for key, one in found.items():
        assert (one.match, one.points()) == (whole[key].match, whole[key].points())
        assert one.end.mean == pytest.approx(whole[key].end.mean, abs=1e-2)


def test_a_day_to_come_is_reckoned_once() -> None:
    matches = begun(order_of_play())
    first, later = forecast(matches, NOW), forecast(matches, NOW + 20)
    assert first["D0M2"].start is not later["D0M2"].start
    assert all(first[f"D2M{n}"].start is later[f"D2M{n}"].start for n in range(6))
