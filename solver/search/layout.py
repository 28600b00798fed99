"""Where everything stands in the one array that the compiled search works on.

A search keeps its problem and its state in one ``int64`` array, `cells`; `Offsets` says where each
table begins.  Tables are row-major: ``cells[of.place + PLACE_COLUMNS * job + START]`` is the start
of a job.  One array and one record keep the kernels quick to compile and to call.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int64]

FAR = 1 << 40
"""A time later than any."""
HUGE = 1 << 62
"""More points than any plan costs."""

# columns of `jobs`
READY, ORIGIN, DUE, LATE, PROMISED, PLAYER, LEFT_OUT, STRINGERS, MACHINES = range(9)
JOB_COLUMNS = 9
# columns of `place`, `best` and `table`
STRINGER, POSITION, MACHINE, START, END, COST, GUEST = range(7)
PLACE_COLUMNS = 8
# columns of `slots`: one stringer's stretch [FIRST, LAST) that a move replaces
OWNER, FIRST, LAST, FRESH, RESUME, COUNT, DONE = range(7)
SLOT_COLUMNS = 8
MAX_SLOTS = 12
# columns of `changed`: a job whose stringer or machine a move changes
JOB, FROM_STRINGER, FROM_MACHINE, TO_STRINGER, TO_MACHINE, TO_POSITION = range(6)
CHANGE_COLUMNS = 6
# cells of `points`
CAP, PROMISE, WAITING, EXTRA_STRINGER, EXTRA_MACHINE = range(5)
# cells of `counters`
TOTAL, SLOTS_USED, CHANGED, TOUCHING, BEST, UNSAVED, ACCEPTED, OWNED = range(8)
COUNTERS = 8
# `thresholds` holds a sample of -ln u, u uniform on (0, 1), in units of 1 / THRESHOLD_UNIT
THRESHOLDS = 4096
THRESHOLD_UNIT = 1 << 20
MOVE_KINDS = 10
REDO = 9
SAMPLES = 2048


class Offsets(NamedTuple):
    """The sizes of the tables, and where each begins in `cells`."""

    racquets: int
    stringers: int
    machines: int
    players: int
    window_slots: int
    # what does not change
    jobs: int  # (racquets, JOB_COLUMNS)
    points: int  # (5,)
    minutes: int  # (racquets, stringers) bench time, 0 where the stringer may not
    fixed: int  # (racquets, stringers) points that depend on the stringer alone
    away: int  # (stringers, machines)
    may: int  # (racquets, stringers) the eligible stringers, the first STRINGERS cells
    where: int  # (racquets, machines) the allowed machines, the first MACHINES cells
    allowed: int  # (racquets, machines) 1 where the job may be strung at the machine
    bench: int  # (stringers,) the machine a stringer works at by default, or -1
    host: int  # (machines,) the stringer whose bench it is, or -1
    windows: int  # (stringers * machines, window_slots, 2) hours common to both
    window_count: int  # (stringers, machines)
    player_jobs: int  # (racquets,) jobs by player
    player_from: int  # (players + 1,) where each player's jobs begin
    first_free: int  # (players, 2) strange stringers, machines that cost nothing
    mix: int  # (MOVE_KINDS,) cumulated odds of the moves
    thresholds: int  # (THRESHOLDS,)
    # what the moves may touch: all, or one worker's share
    owned: int  # (racquets,) the racquets, the first OWNED cells
    is_owned: int  # (racquets,) 1 where a racquet is among them
    # the plan
    place: int  # (racquets, PLACE_COLUMNS)
    best: int  # (racquets, PLACE_COLUMNS) the places of the best plan
    order: int  # (stringers + 1, racquets) each stringer's jobs; the last row holds the unplaced
    length: int  # (stringers + 1,)
    stringer_use: int  # (players, stringers) a player's racquets with a stringer
    machine_use: int  # (players, machines)
    strangers: int  # (players, 2) distinct stringers, machines beyond the history
    guests: int  # (machines, racquets) jobs at a machine of others than its host
    guest_count: int  # (machines,)
    counters: int  # (COUNTERS,)
    random: int  # (1,)
    # the move on trial
    machine: int  # (racquets,) machine of each job after it
    slot_of: int  # (stringers + 1,) slot of a stringer, or -1
    slots: int  # (MAX_SLOTS, SLOT_COLUMNS)
    trial_job: int  # (MAX_SLOTS, racquets)
    trial_start: int  # (MAX_SLOTS, racquets)
    trial_end: int  # (MAX_SLOTS, racquets)
    trial_cost: int  # (MAX_SLOTS, racquets)
    changed: int  # (racquets, CHANGE_COLUMNS)
    flag: int  # (racquets,) scratch marks, 0 between moves
    # what is handed to a kernel
    table: int  # (racquets, PLACE_COLUMNS) places to load
    sequence: int  # (racquets,) the order in which to place jobs
    samples: int  # (SAMPLES,) points that random moves would add

    def as_record(self) -> np.void:
        """Give the same as a record, which kernels hand on by its address."""
        table = np.array([tuple(self)], dtype=[(field, np.int64) for field in self._fields])
        record: np.void = table.view(np.recarray)[0]
        return record


def shapes(n: int, s: int, m: int, p: int, w: int) -> dict[str, tuple[int, ...]]:
    """Give the shape of every table for n racquets, s stringers, m machines, p players, w windows."""
    place = (n, PLACE_COLUMNS)
    return {
        "jobs": (n, JOB_COLUMNS),
        "points": (5,),
        "minutes": (n, s),
        "fixed": (n, s),
        "away": (s, m),
        "may": (n, s),
        "where": (n, m),
        "allowed": (n, m),
        "bench": (s,),
        "host": (m,),
        "windows": (s * m, w, 2),
        "window_count": (s, m),
        "player_jobs": (n,),
        "player_from": (p + 1,),
        "first_free": (p, 2),
        "mix": (MOVE_KINDS,),
        "thresholds": (THRESHOLDS,),
        "owned": (n,),
        "is_owned": (n,),
        "place": place,
        "best": place,
        "order": (s + 1, n),
        "length": (s + 1,),
        "stringer_use": (p, s),
        "machine_use": (p, m),
        "strangers": (p, 2),
        "guests": (m, n),
        "guest_count": (m,),
        "counters": (COUNTERS,),
        "random": (1,),
        "machine": (n,),
        "slot_of": (s + 1,),
        "slots": (MAX_SLOTS, SLOT_COLUMNS),
        "trial_job": (MAX_SLOTS, n),
        "trial_start": (MAX_SLOTS, n),
        "trial_end": (MAX_SLOTS, n),
        "trial_cost": (MAX_SLOTS, n),
        "changed": (n, CHANGE_COLUMNS),
        "flag": (n,),
        "table": place,
        "sequence": (n,),
        "samples": (SAMPLES,),
    }
