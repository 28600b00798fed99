"""`python -m tests.queries.rehearsal.measure_days`: 200 days of 250 racquets with three teams, with progress."""

import argparse
import os
import sys
import time

import numpy as np

from desk.queries.rehearsal.day_figures import CountFigures
from desk.queries.rehearsal.drawn_days import DrawnDays
from desk.queries.rehearsal.teams import team_of
from desk.trade.rehearsed.draw_sizes import DayHours, filled_in
from desk.trade.rehearsed.habits import Habits
from desk.trade.rehearsed.picture import Picture
from desk.trade.rehearsed.team_words import read_team
from solver.rehearsal import Progress, Team, play_many, warm_up

DAY = DayHours(number=0, midnight=0, opens=480, closes=1320)
MATCHES, A_MATCH = 42, 3
TEAMS = ("9 from 8 to 20", "10 with a late shift", "12 from 8 to 22")


def day_of_250() -> DrawnDays:
    """One day of 42 matches, three racquets a player, no other."""
    players = tuple(f"P{n}" for n in range(2 * MATCHES))
    matches = filled_in([], [DAY], players, (MATCHES,), tuple(f"Court {n}" for n in range(11)), 660)
    habits = Habits(racquets=(A_MATCH,), on_court=0, practice=0, ahead_min=(420, 360, 300, 240, 180))
    return DrawnDays(Picture(days=(DAY,), matches=matches, players=players, habits=habits))


def main() -> None:
    """Print the seconds, by the clock and of computing."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--days", type=int, default=200)
    parser.add_argument("--workers", type=int, default=2)
    options = parser.parse_args()
    warm_up()
    teams = [team_of(read_team(words), Team(name="", stringers=(), machines=()), [DAY]) for words in TEAMS]

    def tell(progress: Progress) -> None:
        print(f"\r{progress.done} of {progress.of}, {progress.seconds_left:.0f} s left  ", end="", file=sys.stderr)

    began = time.perf_counter()
    found = play_many(day_of_250(), teams, options.days, CountFigures((DAY,)), workers=options.workers, tell=tell)
    took, spent = time.perf_counter() - began, os.times()
    racquets = np.mean([figures[0].racquets.sum() for figures in found])
    print(f"\n{options.days} days of {racquets:.0f} racquets, {len(teams)} teams: {took:.1f} s by the clock")
    print(
        f"{spent.user + spent.system + spent.children_user + spent.children_system:.1f} s of computing, all processes"
    )


if __name__ == "__main__":
    main()
