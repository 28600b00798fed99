"""The stringers of one player: whom the player knows, and new ones at their price."""

from typing import Any

from solver.bound.room import Room, uncounted
from solver.bound.table import FAR, LEFT_OUT, Table
from solver.bound.turns import pack


@uncounted
def serve(table: Table, room: Room, player: int, turns: int) -> Any:
    """Give the least points for a player's racquets; `room` holds the stringers that give it.

    Teams of up to three new stringers are tried.  Larger ones are bounded from below by the cheapest
    stringer of each racquet and the price of four; `room.team` is -2 where that is less.
    """
    first, count = table.player_from[player], table.player_from[player + 1] - table.player_from[player]
    free, full = table.first_free[player], (1 << count) - 1
    _nobody_new(table, room, player, first, count, turns)
    floor = _floor(room, first, count)
    cheapest = FAR
    for s in range(table.new_price.shape[1]):
        if table.new_price[player, s] > 0:
            cheapest = min(cheapest, table.new_price[player, s])
    best = room.joined[room.tried[0], full]
    known = room.tried[0]
    for size in range(1, min(3, count) + 1):
        if floor + cheapest * (size - free) < best:
            best = _best_team(table, room, player, first, count, size, known, best, turns)
    if count > 3 and floor + cheapest * (4 - free) < best:
        room.team[0] = -2
        return floor + cheapest * (4 - free)
    _join_best(room, count, known)
    return best


@uncounted
def _nobody_new(table: Table, room: Room, player: int, first: int, count: int, turns: int) -> None:
    """Join the stringers who cost nothing; `room.some` gets each racquet's least points with them."""
    room.team[0] = room.team[1] = room.team[2] = -1
    for s in range(room.has.shape[0]):
        room.has[s] = 0
    for chosen in range(1 << count):
        room.joined[0, chosen] = 0
        for i in range(count):
            if chosen >> i & 1:
                room.joined[0, chosen] += table.jobs[first + i, LEFT_OUT]
    for i in range(count):
        room.some[i] = table.jobs[first + i, LEFT_OUT]
    rows = 0
    for s in range(room.has.shape[0]):
        if table.new_price[player, s] == 0:
            _need(table, room, first, count, s, turns)
            _join(room, rows, s, count)
            rows += 1
            for i in range(count):
                room.some[i] = min(room.some[i], room.best[first + i, s])
    room.tried[0] = rows


@uncounted
def _floor(room: Room, first: int, count: int) -> int:
    total = 0
    for i in range(count):
        least = room.some[i]
        for s in range(room.best.shape[1]):
            least = min(least, room.best[first + i, s])
        total += least
    return total


@uncounted
def _need(table: Table, room: Room, first: int, count: int, stringer: int, turns: int) -> None:
    """Fill the table of a stringer for the player at hand, once."""
    if room.has[stringer] == 1:
        return
    room.has[stringer] = 1
    if turns == 1:
        pack(table, room, first, count, stringer)
        return
    for chosen in range(1 << count):
        total = 0
        for i in range(count):
            if chosen >> i & 1:
                total = min(FAR, total + room.best[first + i, stringer])
        room.sets[stringer, chosen] = total


@uncounted
def _join(room: Room, row: int, stringer: int, count: int) -> None:
    """Share each set out between the stringers so far and one more, as cheaply as can be."""
    room.named[row] = stringer
    for chosen in range(1 << count):
        part, least = chosen, room.joined[row, 0] + room.sets[stringer, chosen]
        while part:
            least = min(least, room.joined[row, part] + room.sets[stringer, chosen ^ part])
            part = (part - 1) & chosen
        room.joined[row + 1, chosen] = least


@uncounted
def _best_team(
    table: Table, room: Room, player: int, first: int, count: int, size: int, known: int, best: int, turns: int
) -> int:
    """Try each team of `size` new stringers that may be better when turns do not matter."""
    stringers, full = room.has.shape[0], (1 << count) - 1
    room.tried[0] = room.tried[1] = -1
    for a in range(stringers):
        for b in range(a + 1, stringers) if size > 1 else range(a, a + 1):
            for c in range(b + 1, stringers) if size > 2 else range(b, b + 1):
                paid = _price(table, player, size, a, b, c)
                if paid >= best or paid + _loose(room, first, count, a, b, c) >= best:
                    continue
                for s in (a, b, c):
                    _need(table, room, first, count, s, turns)
                row = _join_team(room, count, size, known, a, b)
                least = FAR
                for part in range(full + 1):
                    least = min(least, room.joined[row, part] + room.sets[c, full ^ part])
                if paid + least < best:
                    best = paid + least
                    room.team[0], room.team[1], room.team[2] = a, b, c
    return best


@uncounted
def _price(table: Table, player: int, size: int, a: int, b: int, c: int) -> Any:
    """Give the points of a team, or too many where one of them is not new."""
    one, two, three = (
        table.new_price[player, a],
        table.new_price[player, b],
        table.new_price[player, c],
    )
    if min(one, two, three) == 0:
        return FAR
    paid = one + (two if size > 1 else 0) + (three if size > 2 else 0)
    return paid - max(one, two, three) if table.first_free[player] else paid


@uncounted
def _loose(room: Room, first: int, count: int, a: int, b: int, c: int) -> int:
    total = 0
    for i in range(count):
        one = min(room.best[first + i, a], room.best[first + i, b])
        total += min(room.some[i], one, room.best[first + i, c])
    return total


@uncounted
def _join_team(room: Room, count: int, size: int, known: int, a: int, b: int) -> int:
    """Join all of a team but its last, unless they lie joined from the trial before; give the row."""
    if size > 1 and room.tried[0] != a:
        _join(room, known, a, count)
        room.tried[0], room.tried[1] = a, -1
    if size > 2 and room.tried[1] != b:
        _join(room, known + 1, b, count)
        room.tried[1] = b
    return known + size - 1


@uncounted
def _join_best(room: Room, count: int, known: int) -> None:
    """Leave the best team joined, and in `room.tried[0]` how many stringers that makes."""
    rows, before = known, -1
    for i in range(3):
        if room.team[i] != before:
            _join(room, rows, room.team[i], count)
            rows, before = rows + 1, room.team[i]
    room.tried[0] = rows
