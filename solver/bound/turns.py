"""A player's racquets one after another at one stringer, at the prices of minutes.

For each set of racquets the least points by the end of each minute, filled minute by minute (as Held
and Karp 1962, J. SIAM 10:196, do over the stops of a tour).
"""

from typing import Any

from solver.bound.room import CHUNK, Room, uncounted
from solver.bound.table import (
    FAR,
    FIRST,
    FIXED,
    FRESH,
    LANE,
    LAST,
    LENGTH,
    ORIGIN,
    READY,
    ROW_AT,
    ROW_FROM,
    ROW_TO,
    SLOPE,
    STALE,
    STRINGER,
    Ints,
    Table,
)


@uncounted
def alone_at(table: Table, job: int, end: int) -> Any:
    """Give what a job costs by its end, without its place and the prices of its minutes."""
    return table.points[0] * max(0, end - table.jobs[job, ORIGIN]) + _by_end(table, table.by_end, job, end)


@uncounted
def floor_from(table: Table, job: int, end: int) -> Any:
    """Give the least that a job costs by this end or a later one."""
    return table.points[0] * max(0, end - table.jobs[job, ORIGIN]) + _by_end(table, table.floors, job, end)


@uncounted
def _by_end(table: Table, values: Ints, job: int, end: int) -> Any:
    at = end - table.jobs[job, ROW_AT]
    if at < 0:
        return 0
    last = table.jobs[job, ROW_TO] - 1
    where = table.jobs[job, ROW_FROM] + at
    if where <= last:
        return values[where]
    return values[last] + table.jobs[job, SLOPE] * (where - last)


@uncounted
def stale_at(table: Table, job: int, start: int) -> int:
    """Give what a start costs that is earlier than the player wants."""
    return table.jobs[job, STALE] if start < table.jobs[job, FRESH] else 0


@uncounted
def pack(table: Table, room: Room, first: int, count: int, stringer: int) -> tuple[int, int]:
    """Fill `room.sets[stringer]`; give the first and the last minute filled in `room.packed`."""
    sets = 1 << count
    start, stop = _find_rows(table, room, first, count, stringer)
    for chosen in range(sets):
        room.packed[0, chosen] = 0 if chosen == 0 else FAR
    t0 = last = start - 1
    while last < stop:
        chunk, until = last + 1, min(last + 1 + CHUNK, stop + 1)
        for i in range(count):
            _price_ends(table, room, first, i, chunk, until)
        for t in range(chunk, until):
            for chosen in range(sets):
                room.packed[t - t0, chosen] = room.packed[t - t0 - 1, chosen]
            for i in range(count):
                if room.ends[i, t - chunk] < FAR:
                    before = max(t - table.places[room.rows[i, 0], LENGTH] - t0, 0)
                    _add_racquet(room, t - t0, before, room.ends[i, t - chunk], 1 << i, sets)
        last = until - 1
        if _is_final(table, room, first, count, last, last - t0):
            break
    for chosen in range(sets):
        room.sets[stringer, chosen] = room.packed[last - t0, chosen]
    return t0, last


@uncounted
def _find_rows(table: Table, room: Room, first: int, count: int, stringer: int) -> tuple[int, int]:
    """Find the player's places at a stringer; give the first and the last end that they allow."""
    start, stop = FAR, -1
    for i in range(count):
        room.rows[i, 0] = room.rows[i, 1] = 0
        for k in range(table.place_from[first + i], table.place_from[first + i + 1]):
            if table.places[k, STRINGER] != stringer:
                continue
            if room.rows[i, 1] == 0:
                room.rows[i, 0] = k
            room.rows[i, 1] = k + 1
            start = min(start, table.jobs[first + i, READY] + table.places[k, LENGTH])
            for w in range(table.places[k, FIRST], table.places[k, LAST]):
                stop = max(stop, table.spans[w, 1])
    return (start, stop) if start <= stop else (1, 0)


@uncounted
def _price_ends(table: Table, room: Room, first: int, i: int, chunk: int, until: int) -> None:
    """Write what a racquet costs at each end in ``[chunk, until)``, with the prices of its minutes."""
    for j in range(until - chunk):
        room.ends[i, j] = FAR
    for k in range(room.rows[i, 0], room.rows[i, 1]):
        lane, length, fixed = table.places[k, LANE], table.places[k, LENGTH], table.places[k, FIXED]
        for w in range(table.places[k, FIRST], table.places[k, LAST]):
            earliest = max(table.spans[w, 0], table.jobs[first + i, READY]) + length
            for end in range(max(chunk, earliest), min(until, table.spans[w, 1] + 1)):
                cost = alone_at(table, first + i, end) + stale_at(table, first + i, end - length) + fixed
                cost += room.prefix[lane, end] - room.prefix[lane, end - length]
                room.ends[i, end - chunk] = min(room.ends[i, end - chunk], cost)


@uncounted
def _add_racquet(room: Room, now: int, before: int, cost: int, bit: int, sets: int) -> None:
    for chosen in range(sets):
        if chosen & bit == 0:
            with_it = chosen | bit
            room.packed[now, with_it] = min(room.packed[now, with_it], room.packed[before, chosen] + cost)


@uncounted
def _is_final(table: Table, room: Room, first: int, count: int, last: int, now: int) -> bool:
    """Whether no end after `last` can make any set cheaper: minutes cost nothing at the least."""
    for i in range(count):
        later = FAR
        for k in range(room.rows[i, 0], room.rows[i, 1]):
            later = min(later, table.places[k, FIXED])
        if later == FAR:
            continue
        later += floor_from(table, first + i, last + 1)
        bit = 1 << i
        for chosen in range(1 << count):
            if chosen & bit and room.packed[now, chosen ^ bit] + later < room.packed[now, chosen]:
                return False
    return True


@uncounted
def mark_in_turn(table: Table, room: Room, first: int, count: int, stringer: int, chosen: int) -> None:
    """Walk back through the minutes of a stringer and mark those that a set of racquets takes."""
    t0, t = pack(table, room, first, count, stringer) if chosen else (0, 0)
    while chosen:
        if room.packed[t - t0 - 1, chosen] == room.packed[t - t0, chosen]:
            t -= 1
            continue
        for i in range(count):
            if chosen >> i & 1 and _ends_here(table, room, first, i, chosen, t, t0):
                chosen ^= 1 << i
                t = max(t - table.places[room.rows[i, 0], LENGTH], t0)
                break


@uncounted
def _ends_here(table: Table, room: Room, first: int, i: int, chosen: int, t: int, t0: int) -> bool:
    """Whether the racquet is the last of its set and ends at `t`; then its minutes are marked."""
    _price_ends(table, room, first, i, t, t + 1)
    cost, length = room.ends[i, 0], table.places[room.rows[i, 0], LENGTH]
    before = max(t - length - t0, 0)
    if cost >= FAR or room.packed[before, chosen ^ (1 << i)] + cost != room.packed[t - t0, chosen]:
        return False
    for k in range(room.rows[i, 0], room.rows[i, 1]):
        lane = table.places[k, LANE]
        owed = room.prefix[lane, t] - room.prefix[lane, t - length]
        owed += alone_at(table, first + i, t) + stale_at(table, first + i, t - length)
        if owed + table.places[k, FIXED] == cost and _allows(table, k, t):
            mark(table, room, k, t - length)
            return True
    return False


@uncounted
def _allows(table: Table, k: int, end: int) -> bool:
    for w in range(table.places[k, FIRST], table.places[k, LAST]):
        if table.spans[w, 0] + table.places[k, LENGTH] <= end <= table.spans[w, 1]:
            return True
    return False


@uncounted
def mark(table: Table, room: Room, place: int, start: int) -> None:
    """Mark the minutes of a job at a place."""
    lane = table.places[place, LANE]
    stringer, machine = table.lanes[lane, 0], table.lanes[lane, 1]
    for t in range(start, start + table.places[place, LENGTH]):
        room.use[stringer, t] += 1
        if machine >= 0:
            room.use[machine, t] += 1
