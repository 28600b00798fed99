"""What a racquet costs at its place, and what its player's continuity costs, in the points of the contract."""

from solver.rehearsal.jit import compiled
from solver.rehearsal.table_columns import (
    CAP,
    DUE,
    FIRST_INVERSE,
    FIRST_Z,
    FRESH,
    HIS_KINDS,
    HIS_MACHINES,
    HIS_STRINGERS,
    HOME,
    KIND,
    LATEST,
    MINUTES,
    MOST_AHEAD,
    NEVER,
    NOW,
    P_AWAY,
    P_EXTRA_KIND,
    P_EXTRA_MACHINE,
    P_EXTRA_STRINGER,
    P_LATE,
    P_OVER_TARGET,
    P_PROMISE,
    P_STALE,
    P_UNPLACED,
    P_WAITING,
    PACE,
    PROMISED,
    READY,
    TARGET,
    WEIGHT,
    Z_MOST,
    Z_STEPS,
)


@compiled
def bench_minutes(jobs, stringers, s, j):  # type: ignore[no-untyped-def]
    """Whole minutes that stringer ``s`` is expected to need for racquet ``j``."""
    return (jobs[j, MINUTES] * stringers[s, PACE] + 99) // 100


@compiled
def mean_past(late, sd, by_sd, table):  # type: ignore[no-untyped-def]
    """Mean minutes past a time of an end ``late`` minutes after it, normal with deviation ``sd``, 1 / ``by_sd``."""
    if sd <= 0.0:
        return float(max(0, late))
    z = late * by_sd
    if z <= -Z_MOST:
        return 0.0
    if z >= Z_MOST:
        return float(late)
    at = (z + Z_MOST) * Z_STEPS
    low = int(at)
    part = at - low
    first = FIRST_Z + low
    return sd * (table[first] * (1.0 - part) + table[first + 1] * part)


@compiled
def late_points(jobs, scalars, table, j, end):  # type: ignore[no-untyped-def]
    """The points of an end past due, past the latest and past the promise, in the mean."""
    due, promised = jobs[j, DUE], jobs[j, PROMISED]
    if due == NEVER and promised == NEVER:
        return 0.0
    ahead = min(MOST_AHEAD, max(0, end - scalars[NOW]))
    sd, by_sd = table[ahead], table[FIRST_INVERSE + ahead]
    cap, points = scalars[CAP], 0.0
    reach = end + int(Z_MOST * sd) + 1
    if reach > due:
        price, latest = float(scalars[P_LATE] * jobs[j, WEIGHT]), jobs[j, LATEST]
        past = 0.0
        if reach > latest:
            past = mean_past(end - latest, sd, by_sd, table)
            points += price * (past - mean_past(end - latest - cap, sd, by_sd, table))
        if latest > due:
            points += 0.2 * price * (mean_past(end - due, sd, by_sd, table) - past)
    if reach > promised:
        more = mean_past(end - promised, sd, by_sd, table) - mean_past(end - promised - cap, sd, by_sd, table)
        points += scalars[P_PROMISE] * more
    return points


@compiled
def place_points(jobs, stringers, scalars, table, s, j, start, end, machine):  # type: ignore[no-untyped-def]
    """The points of racquet ``j`` strung by ``s`` from ``start`` to ``end``, continuity left out."""
    points = late_points(jobs, scalars, table, j, end)
    points += scalars[P_WAITING] * max(0, end - max(jobs[j, READY], jobs[j, FRESH]))
    points += scalars[P_OVER_TARGET] * max(0, end - start - scalars[TARGET])
    if stringers[s, HOME] >= 0 and machine != stringers[s, HOME]:
        points += scalars[P_AWAY]
    if start < jobs[j, FRESH]:
        points += scalars[P_STALE]
    return int(points + 0.5)


@compiled
def unplaced_points(jobs, scalars, j):  # type: ignore[no-untyped-def]
    """The points of a racquet that finds no room."""
    if jobs[j, DUE] == NEVER:
        return scalars[P_UNPLACED]
    return scalars[P_UNPLACED] + scalars[P_LATE] * jobs[j, WEIGHT] * scalars[CAP]


@compiled
def extra(used, known):  # type: ignore[no-untyped-def]
    """How many of a bit set are new: beyond the known, or beyond the first where nothing is known."""
    rest, n = used & ~known, 0
    while rest:
        rest &= rest - 1
        n += 1
    return n if known else max(0, n - 1)


@compiled
def player_points(counts, history, stringers, scalars, p):  # type: ignore[no-untyped-def]
    """The points of a player's stringers, machines and kinds of machine, each stringer at the home machine."""
    who = where = kinds = 0
    for s in range(stringers.shape[0]):
        if counts[p, s] > 0:
            who |= 1 << s
            if stringers[s, HOME] >= 0:
                where |= 1 << stringers[s, HOME]
                if stringers[s, KIND] >= 0:
                    kinds |= 1 << stringers[s, KIND]
    points = scalars[P_EXTRA_STRINGER] * extra(who, history[p, HIS_STRINGERS])
    points += scalars[P_EXTRA_MACHINE] * extra(where, history[p, HIS_MACHINES])
    return points + scalars[P_EXTRA_KIND] * extra(kinds, history[p, HIS_KINDS])
