from decimal import Decimal

import pytest

from desk.trade.errors import TradeError
from desk.trade.racquet.advice import KnownOfPlayer, how_often, middle_of_range, propose, restring_advice
from desk.trade.racquet.bed import Bed
from desk.trade.racquet.units import Tension


def pounds(value):
    return Tension(Decimal(value), "lb")


@pytest.mark.parametrize(
    ("hours", "days", "mains", "urgency"),
    [
        (2, 3, "multifilament", "not yet"),
        (8, 7, "multifilament", "worth it"),
        (12, 10, "multifilament", "worth it"),
        (16, 14, "multifilament", "due"),
        (8, 7, "polyester", "worth it"),
        (10, 7, "polyester", "due"),
        (0, 1000, "natural gut", "due"),
    ],
)
def test_restringing_follows_hours_of_play_and_age(hours, days, mains, urgency):
    # At 8 h a week: weekly at best, fortnightly at least; polyester holds 1 to 10 h; years old: common practice.
    advice = restring_advice(hours, days, mains)
    assert advice.urgency == urgency
    assert advice.reason


@pytest.mark.parametrize(
    ("hours_a_week", "span"),
    [
        (4, "every 2 to 4 weeks"),
        (2, "every 4 to 8 weeks"),
        (16, "every 4 to 7 days"),
        (8, None),
        (None, None),
    ],
)
def test_how_often_follows_the_hours_of_play_a_week(hours_a_week, span):
    # At 8 h a week weekly at best, fortnightly at least (common practice): 8 to 16 h of play.
    said = how_often(hours_a_week)
    assert "as many times a year as one plays a week" in said
    assert said.endswith(f"{span}." if span else "fortnightly at least.")


@pytest.mark.parametrize(("hours", "days"), [(-1, 0), (0, -1)])
def test_hours_or_days_below_nothing_are_refused(hours, days):
    with pytest.raises(TradeError, match="Restring"):
        restring_advice(hours, days, "polyester")


def test_a_player_without_a_tension_is_offered_the_middle_of_the_frames_range():
    # The middle of the range printed on the frame, 50-57 lb gives 53.5 lb: common practice.
    proposal = propose(KnownOfPlayer(frame_low=pounds(50), frame_high=pounds(57)))
    assert proposal.tension == pounds("53.5")
    assert "50 lb to 57 lb" in proposal.reasons[0]


@pytest.mark.parametrize(("low", "high", "middle"), [("50", "60", "55"), ("48", "57", "52.5"), ("50.5", "57", "54")])
def test_the_middle_is_to_the_nearest_half(low, high, middle):
    assert middle_of_range(pounds(low), pounds(high)) == pounds(middle)


def test_a_range_in_two_units_or_backwards_is_refused():
    with pytest.raises(TradeError, match="Frame's range"):
        middle_of_range(pounds(50), Tension(Decimal(26), "kg"))
    with pytest.raises(TradeError, match="Frame's range"):
        middle_of_range(pounds(57), pounds(50))


def test_the_same_again_comes_before_the_middle_of_the_range():
    known = KnownOfPlayer(
        frame_low=pounds(50),
        frame_high=pounds(57),
        last_mains=pounds(48),
        last_string="Demo Round 1.25",
        full_swing=True,
    )
    proposal = propose(known)
    assert (proposal.tension, proposal.materials) == (pounds(48), None)
    assert "Demo Round 1.25" in proposal.reasons[1]


@pytest.mark.parametrize(
    ("over", "materials"),
    [
        ({"breaks_soon": True}, Bed("polyester", "multifilament")),
        ({"full_swing": False}, Bed("multifilament", "multifilament")),
        ({"full_swing": True}, Bed("polyester", "polyester")),
        ({"breaks_soon": True, "full_swing": False}, Bed("polyester", "multifilament")),
        ({}, None),
    ],
)
def test_the_string_offered_follows_swing_and_breakage(over, materials):
    # Polyester needs a full swing, multifilament before it, polyester in the mains against breakage: common practice.
    assert propose(KnownOfPlayer(**over)).materials == materials


def test_nothing_known_offers_nothing_but_where_to_look():
    proposal = propose(KnownOfPlayer())
    assert proposal.tension is None
    assert proposal.reasons == ("Read the range printed on the frame: its middle is a good start.",)
