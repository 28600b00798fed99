"""A day at the benches played many times: racquets come as they come, minutes are uncertain, the plan follows.

`play` plays one day by the compiled rule, `play_many` replications of it by several teams over processes.
"""

from solver.rehearsal.bands import Band, band_of, mean_band
from solver.rehearsal.day_and_team import Day, Outage, PlayedDay, Racquets, Team, day_of_workload
from solver.rehearsal.many_days import HowPlayed, Progress, play_many
from solver.rehearsal.one_day import EFFORT_THOROUGH, EFFORT_USUAL, play, warm_up

__all__ = [
    "EFFORT_THOROUGH",
    "EFFORT_USUAL",
    "Band",
    "Day",
    "HowPlayed",
    "Outage",
    "PlayedDay",
    "Progress",
    "Racquets",
    "Team",
    "band_of",
    "day_of_workload",
    "mean_band",
    "play",
    "play_many",
    "warm_up",
]
