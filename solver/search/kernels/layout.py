"""What a search keeps in memory: its records, its tables and the shape of each.

Every field is a whole number; times are minutes, costs points.  Who is nobody is the row after the
last stringer, who holds the jobs that are left out.
"""

from solver.search.kernels.memory import Table

FAR = 1 << 40
"""A time later than any."""
HUGE, FORBIDDEN = 1 << 62, 1 << 50
"""More points than any plan costs; and so many that the sum over all slots stays below `HUGE`."""
NONE = -1
OPEN = -2
"""A machine or position that is still to be chosen."""
MAX_SLOTS = 12
SLOPE = 8
"""Minutes over which the points of a later or sooner end are taken for a straight line."""
THRESHOLDS, THRESHOLD_UNIT = 4096, 1 << 20
"""So many samples of -ln u, u uniform on (0, 1), in units of 1 / THRESHOLD_UNIT."""
SAMPLES = 2048
MOVE_KINDS = 10


class Job:
    """A racquet to string, and whether moves may touch it."""

    ready: int
    """The earliest start."""
    fresh_from: int
    """A start before it is stale."""
    starts_from: int
    """One of the two: whether the job waits until it would be fresh is for the search to choose."""
    waits_from: int
    due: int
    wanted: int
    """The earlier of due and promised: past it the job is late."""
    player: int
    left_out: int
    """Points when it is not planned."""
    first: int
    """The first end at which it may cost points for being late: those of `end_points` from `row` on."""
    row: int
    minutes: int
    """How many values follow; past the last one each minute costs `slope`."""
    slope: int
    stringers: int
    """How many may take it: the first of its row of `may`."""
    machines: int
    """How many may hold it: the first of its row of `where`."""
    is_owned: int
    is_moving: int
    """Whether the move on trial gives it to someone; 0 between moves."""


class Place:
    """Where a job is in a plan: `position` in its stringer's order, `guest` among the machine's guests."""

    stringer: int
    position: int
    machine: int
    start: int
    end: int
    cost: int
    guest: int
    trial_machine: int
    """The machine after the move on trial."""


class Fit:
    """A job with a stringer: bench time, 0 where that may not be, and the points that come with the stringer."""

    minutes: int
    points: int


class Stringer:
    """`bench` is the machine worked at as a rule, `jobs` the length of the order, `slot` that of the move on trial.

    `has_slopes` says whether the rows of `later` and `sooner` are those of the present order.
    """

    bench: int
    jobs: int
    slot: int
    has_slopes: int


class Machine:
    """`host` is the stringer whose bench it is, `guests` how many jobs of others are strung there."""

    host: int
    guests: int
    kind: int


class Bench:
    """A stringer at a machine: the common hours are the windows from `first` on, before `last`."""

    first: int
    last: int
    away: int


class Window:
    """Hours ``[start, end)``."""

    start: int
    end: int


class Player:
    """The racquets, from `first` on and before `last` in `player_jobs`, and who is new to the player.

    `free_…` is how many new stringers, machines and kinds of machine cost nothing.
    """

    first: int
    last: int
    stringers: int
    machines: int
    kinds: int
    free_stringers: int
    free_machines: int
    free_kinds: int


class Slot:
    """A stretch ``[first, last)`` of a stringer's order that the move on trial replaces by `fresh` jobs.

    Decoded it is `count` jobs long, and the order goes on unchanged at `resume`.
    """

    stringer: int
    first: int
    last: int
    fresh: int
    count: int
    resume: int
    is_done: int


class Trial:
    """A job in a slot."""

    job: int
    start: int
    end: int
    cost: int


class Turn:
    """Two jobs: with one stringer the second comes after the first."""

    first: int
    second: int


class Change:
    """A job that the move on trial gives to another stringer, machine or position."""

    job: int
    from_stringer: int
    from_machine: int
    to_stringer: int
    to_machine: int
    to_position: int


class Search:
    """Everything: first what does not change, then the plan, then the move on trial."""

    nobody: int
    """How many stringers there are."""
    job_count: int
    extra_stringer: int
    extra_machine: int
    extra_kind: int
    stale: int
    waiting: int
    jobs: Table[Job]
    fits: Table[Fit]
    benches: Table[Bench]
    windows: Table[Window]
    end_points: Table[int]
    may: Table[int]
    where: Table[int]
    allowed: Table[int]
    player_jobs: Table[int]
    mix: Table[int]
    thresholds: Table[int]
    owned: Table[int]
    """The racquets that moves may touch: the first `owned_count`."""
    owned_count: int
    turns: Table[Turn]
    turn_count: int

    total: int
    best_total: int
    has_unsaved_best: int
    random: int
    places: Table[Place]
    best: Table[Place]
    order: Table[int]
    """The jobs of each stringer in turn; the last row holds those left out."""
    team: Table[Stringer]
    machines: Table[Machine]
    guests: Table[int]
    players: Table[Player]
    stringer_use: Table[int]
    """How many of a player's racquets a stringer has; likewise for machines and kinds of machine."""
    machine_use: Table[int]
    kind_use: Table[int]
    later: Table[int]
    """Points that it adds when a position's job, and all that follow without a gap, end `SLOPE` minutes later."""
    sooner: Table[int]
    """Points that it saves when they end so much sooner."""

    slot_count: int
    change_count: int
    flipped: int
    """The job of which the move on trial changes whether it waits to be fresh, or none."""
    is_touching: int
    """Whether the slots decoded so far hold anything at a machine that others use."""
    slots: Table[Slot]
    trial: Table[Trial]
    changes: Table[Change]

    given: Table[Place]
    """Places to build a plan from, in the `sequence` of jobs."""
    sequence: Table[int]
    samples: Table[int]
