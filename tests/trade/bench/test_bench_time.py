import numpy as np
import pytest

from desk.trade.bench.bench_time import BenchCard, FinishedJob, HouseTable, learned_table
from desk.trade.bench.pace import Pace, learn, learned_paces, stringer_minutes
from desk.trade.errors import TradeError
from desk.trade.racquet.bed import Bed
from desk.trade.racquet.string_length import Pattern

OPEN = BenchCard()
DENSE = BenchCard(pattern=Pattern(18, 20))
GUT = BenchCard(materials=Bed("natural gut", "natural gut"))
HALF_GUT = Bed("natural gut", "polyester")


def house(**over):
    return HouseTable().minutes(BenchCard(**over))


def test_a_usual_racquet_lies_in_the_usual_range():
    # One racquet 16-25 minutes, 30 the default target: common practice.
    assert 16 <= house() <= 25
    assert house(pattern=Pattern(18, 20)) <= 30


def test_a_dense_pattern_takes_a_quarter_longer():
    # 18x20 against 16x19: a stringers' certification allows 75 minutes against 60 for three.
    assert house(pattern=Pattern(18, 20)) / house() == pytest.approx(75 / 60)


def test_a_pattern_between_lies_between():
    assert house() < house(pattern=Pattern(16, 20)) < house(pattern=Pattern(18, 20))


def test_natural_gut_takes_up_to_thirty_minutes():
    # Natural gut up to 30 minutes: the same certification.
    gut = house(materials=GUT.materials)
    half = house(materials=HALF_GUT)
    assert house() < half < gut == 30


@pytest.mark.parametrize("work", ["grommets", "grip"])
def test_extra_work_takes_twenty_minutes(work):
    # Grommet set; grip size work: 20 minutes each, the same certification.
    assert house(**{work: True}) == house() + 20


@pytest.mark.parametrize("work", ["prestretch", "stencil"])
def test_small_extra_work_takes_a_little(work):
    # From memory.
    assert house(**{work: True}) == house() + 2


def test_one_piece_or_two_takes_the_same():
    # Sources disagree: common practice.
    assert house(pieces=1) == house(pieces=2)


def test_an_on_court_job_takes_twelve_to_fifteen_minutes():
    # On-court job 12-15 minutes on the machine: common practice, press reports from majors.
    assert 12 <= house(on_court=True) <= 15


def test_a_card_names_its_row():
    assert [card.key for card in (OPEN, DENSE, GUT)] == ["open", "dense", "open, gut"]
    assert BenchCard(pattern=Pattern(16, 20), materials=HALF_GUT, on_court=True).key == "medium, half gut, on court"


def timed(card, minutes, stringer="S", count=1):
    return [FinishedJob(card, stringer, minutes)] * count


def test_the_table_moves_from_the_default_with_the_number_of_jobs():
    few, many = learned_table(timed(OPEN, 26, count=2)), learned_table(timed(OPEN, 26, count=100))
    assert 20 < few.minutes(OPEN) < many.minutes(OPEN) == 26
    assert (few.rows["open"].n, many.rows["open"].n) == (2, 100)


def test_what_was_learned_of_one_row_leaves_the_others():
    table = learned_table(timed(OPEN, 30, count=50))
    assert (table.minutes(DENSE), table.minutes(GUT)) == (25, 30)


def test_extra_work_does_not_make_the_row_slow():
    table = learned_table(timed(BenchCard(grip=True), 40, count=50))
    assert table.minutes(OPEN) == 20


def test_a_job_left_running_moves_the_table_little():
    assert learned_table(timed(OPEN, 600)).minutes(OPEN) <= 24


def test_the_desk_overrules_a_row_and_takes_it_back():
    learned = learned_table(timed(OPEN, 26, count=100))
    overruled = learned.overruled("open", 18)
    assert overruled.minutes(OPEN) == 18
    assert overruled.minutes(BenchCard(grip=True)) == 38
    assert learned_table(timed(OPEN, 26, count=100), overruled).minutes(OPEN) == 18
    assert overruled.overruled("open", None).minutes(OPEN) == 26


@pytest.mark.parametrize("minutes", [0, 4, 121])
def test_house_minutes_that_cannot_be_are_refused(minutes):
    with pytest.raises(TradeError, match="House minutes, open"):
        HouseTable().overruled("open", minutes)


def test_a_pace_is_shrunk_towards_a_hundred():
    few, many = (learned_paces(timed(OPEN, 24, count=count), HouseTable())["S"] for count in (2, 200))
    assert 100 < few.per_cent < many.per_cent == pytest.approx(120, abs=1)
    assert (few.n, many.n) == (2, 200)


def test_a_pace_is_shrunk_towards_what_was_entered():
    # Ten jobs at the entered 110 beside ten timed at 120 (24 minutes for 20): half way.
    jobs = timed(OPEN, 24, count=10)
    assert learned_paces(jobs, HouseTable(), entered={"S": 110, "T": 96}) == {"S": Pace(115, 10), "T": Pace(96)}


def test_house_minutes_are_learned_given_the_paces_entered():
    # Ten minutes more than the house by a stringer known to be half slower say nothing of the house.
    table, paces = learn(timed(OPEN, 30, count=200), entered={"S": 150})
    assert table.minutes(OPEN) == 20
    assert paces["S"].learned == 150


def test_a_pace_can_be_overruled():
    assert learned_paces(timed(OPEN, 24, count=50), HouseTable(), {"S": 95, "T": 110}) == {
        "S": Pace(117, 50, 95),
        "T": Pace(100, 0, 110),
    }


@pytest.mark.parametrize("pace", [49, 201])
def test_a_pace_that_cannot_be_is_refused(pace):
    with pytest.raises(TradeError, match="Give 50 to 200"):
        Pace(overruled=pace)


def test_paces_and_house_minutes_are_told_apart():
    """Gut really takes 36 minutes, S is slow at 120, T quick at 85: bench times vary by 15 %."""
    rng = np.random.default_rng(6)
    truth = {"S": 1.2, "T": 0.85, "U": 1.0}
    jobs = [
        FinishedJob(card, stringer, minutes * truth[stringer] * rng.lognormal(0, 0.15))
        for stringer in truth
        for card, minutes in [(OPEN, 20)] * 120 + [(GUT, 36)] * 60
    ]
    table, paces = learn(jobs)
    assert table.minutes(GUT) / table.minutes(OPEN) == pytest.approx(36 / 20, rel=0.06)
    assert paces["S"].per_cent / paces["T"].per_cent == pytest.approx(1.2 / 0.85, rel=0.06)
    assert stringer_minutes(table.minutes(GUT), paces["S"].per_cent) == pytest.approx(43, abs=2)


def test_without_jobs_nothing_is_learned():
    table, paces = learn([])
    assert (table.minutes(OPEN), paces) == (20, {})


@pytest.mark.parametrize(("house_min", "pace", "expected"), [(22, 100, 22), (22, 110, 25), (20, 85, 17), (1, 50, 1)])
def test_a_stringer_takes_the_ceiling_of_minutes_and_pace(house_min, pace, expected):
    assert stringer_minutes(house_min, pace) == expected


def test_an_overgrip_takes_four_minutes_and_not_the_twenty_of_its_size():
    # A replacement grip or overgrip: 3-5 minutes (common practice).
    assert HouseTable().minutes(BenchCard(overgrip=True)) - HouseTable().minutes(BenchCard()) == 4
