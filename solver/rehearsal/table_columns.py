"""The columns of the kernels' tables, and the numbers that they share."""

(
    KNOWN,
    READY,
    FRESH,
    DUE,
    LATEST,
    WEIGHT,
    MINUTES,
    PLAYER,
    WHO_MAY,
    WHERE_MAY,
    STATE,
    START,
    END,
    WHO,
    WHERE,
    TOLD,
    PROMISED,
    DUE_THEN,
    LATEST_THEN,
    JOB_COLUMNS,
) = range(20)
"""Of a racquet: what is known of it, then how it went. `WHO` is its stringer in the plan, later who strung it."""

UNKNOWN, WAITING, ON_MACHINE, DONE = range(4)
"""States of a racquet."""

PACE, HOME, WINDOWS, LENGTH, FREE, RUNNING, GUESS, TRUE_END, KIND, STRINGER_COLUMNS = range(10)
"""Of a stringer: `LENGTH` racquets planned, `FREE` from when, `RUNNING` racquet or -1, `KIND` of the home machine."""

BEGIN, THEN_FREE, THEN_WINDOW, COST, PREFIX_COLUMNS = range(5)
"""Of a place in a stringer's order, row i + 1 for the i-th racquet; row 0 is the state before the first."""

HIS_STRINGERS, HIS_MACHINES, HIS_KINDS, HISTORY_COLUMNS = range(4)
"""Of a player: bit sets of those who count as known."""

(
    NOW,
    TOTAL,
    SPARE,
    TARGET,
    P_UNPLACED,
    P_LATE,
    P_PROMISE,
    P_EXTRA_STRINGER,
    P_EXTRA_MACHINE,
    P_EXTRA_KIND,
    P_AWAY,
    P_OVER_TARGET,
    P_STALE,
    P_WAITING,
    CAP,
    EFFORT,
    MARGIN,
    TELLS,
    SEED,
    SCALARS,
) = range(20)
"""Single numbers: the moment, the cost of the plan, the spare machines, the points, and how hard to search."""

NEVER = 10**12
"""A time that does not come."""

EVERYBODY = (1 << 62) - 1
"""The set of all stringers, or of all machines."""

MOST_AHEAD = 480
"""Minutes ahead after which the end of a queue grows no more uncertain: breaks let a bench catch up."""
QUEUE_JOB = 20.0
"""So many minutes of a queue count as one independent racquet."""

Z_MOST, Z_STEPS = 4, 32
"""The table of the mean part above zero of a normal variable reaches from -4 to 4 in steps of 1/32."""

FIRST_Z = MOST_AHEAD + 1
FIRST_INVERSE = FIRST_Z + 2 * Z_MOST * Z_STEPS + 2
"""In the table of uncertainty: deviations by minutes ahead, the table above, and the deviations' inverses."""
