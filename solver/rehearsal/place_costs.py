"""What a racquet costs at its place, and what its player's continuity costs, in the points of the contract."""

from solver.rehearsal import table_columns as col
from solver.rehearsal.jit import compiled
from solver.rehearsal.table_columns import FIRST_INVERSE, FIRST_Z, MOST_AHEAD, NEVER, Z_MOST, Z_STEPS


@compiled
def bench_minutes(jobs, stringers, s, j):  # type: ignore[no-untyped-def]
    """Whole minutes that stringer ``s`` is expected to need for racquet ``j``."""
    return (jobs[j, col.MINUTES] * stringers[s, col.PACE] + 99) // 100


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
    due, promised = jobs[j, col.DUE], jobs[j, col.PROMISED]
    if due == NEVER and promised == NEVER:
        return 0.0
    ahead = min(MOST_AHEAD, max(0, end - scalars[col.NOW]))
    sd, by_sd = table[ahead], table[FIRST_INVERSE + ahead]
    cap, points = scalars[col.CAP], 0.0
    reach = end + int(Z_MOST * sd) + 1
    if reach > due:
        price, latest = float(scalars[col.P_LATE] * jobs[j, col.WEIGHT]), jobs[j, col.LATEST]
        past = 0.0
        if reach > latest:
            past = mean_past(end - latest, sd, by_sd, table)
            points += price * (past - mean_past(end - latest - cap, sd, by_sd, table))
        if latest > due:
            points += 0.2 * price * (mean_past(end - due, sd, by_sd, table) - past)
    if reach > promised:
        more = mean_past(end - promised, sd, by_sd, table) - mean_past(end - promised - cap, sd, by_sd, table)
        points += scalars[col.P_PROMISE] * more
    return points


@compiled
def place_points(jobs, stringers, scalars, table, s, j, start, end, machine):  # type: ignore[no-untyped-def]
    """The points of racquet ``j`` strung by ``s`` from ``start`` to ``end``, continuity left out."""
    points = late_points(jobs, scalars, table, j, end)
    points += scalars[col.P_WAITING] * max(0, end - max(jobs[j, col.READY], jobs[j, col.FRESH]))
    points += scalars[col.P_OVER_TARGET] * max(0, end - start - scalars[col.TARGET])
    if stringers[s, col.HOME] >= 0 and machine != stringers[s, col.HOME]:
        points += scalars[col.P_AWAY]
    if start < jobs[j, col.FRESH]:
        points += scalars[col.P_STALE]
    return int(points + 0.5)


@compiled
def unplaced_points(jobs, scalars, j):  # type: ignore[no-untyped-def]
    """The points of a racquet that finds no room."""
    if jobs[j, col.DUE] == NEVER:
        return scalars[col.P_UNPLACED]
    return scalars[col.P_UNPLACED] + scalars[col.P_LATE] * jobs[j, col.WEIGHT] * scalars[col.CAP]


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
            if stringers[s, col.HOME] >= 0:
                where |= 1 << stringers[s, col.HOME]
                if stringers[s, col.KIND] >= 0:
                    kinds |= 1 << stringers[s, col.KIND]
    points = scalars[col.P_EXTRA_STRINGER] * extra(who, history[p, col.HIS_STRINGERS])
    points += scalars[col.P_EXTRA_MACHINE] * extra(where, history[p, col.HIS_MACHINES])
    return points + scalars[col.P_EXTRA_KIND] * extra(kinds, history[p, col.HIS_KINDS])
