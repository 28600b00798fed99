"""Who has strung for a player, and where: counts kept move by move."""

from solver.search.compiled import compiled
from solver.search.layout import (
    CHANGE_COLUMNS,
    CHANGED,
    EXTRA_MACHINE,
    EXTRA_STRINGER,
    FROM_MACHINE,
    FROM_STRINGER,
    JOB,
    JOB_COLUMNS,
    PLAYER,
    TO_MACHINE,
    TO_STRINGER,
)


@compiled
def continuity_cost(cells, of, player):  # type: ignore[no-untyped-def]
    """Points for the stringers and machines that are new to a player."""
    cost = 0
    stringers = cells[of.strangers + 2 * player + 0] - cells[of.first_free + 2 * player + 0]
    if stringers > 0:
        cost += stringers * cells[of.points + EXTRA_STRINGER]
    machines = cells[of.strangers + 2 * player + 1] - cells[of.first_free + 2 * player + 1]
    if machines > 0:
        cost += machines * cells[of.points + EXTRA_MACHINE]
    return cost


@compiled
def _count(cells, use, width, strangers, old, new):  # type: ignore[no-untyped-def]
    """Count a racquet from one stringer (or machine) to another, and who is new to its player."""
    if old == new:
        return
    if 0 <= old < width:
        cells[use + old] -= 1
        if cells[use + old] == 0:
            cells[strangers] -= 1
    if 0 <= new < width:
        if cells[use + new] == 0:
            cells[strangers] += 1
        cells[use + new] += 1


@compiled
def recount(cells, of, job, old_stringer, old_machine, stringer, machine):  # type: ignore[no-untyped-def]
    """Count a job's change of stringer and machine; return the points it adds."""
    player = cells[of.jobs + JOB_COLUMNS * job + PLAYER]
    before = continuity_cost(cells, of, player)
    _count(
        cells, of.stringer_use + of.stringers * player, of.stringers, of.strangers + 2 * player, old_stringer, stringer
    )
    _count(
        cells, of.machine_use + of.machines * player, of.machines, of.strangers + 2 * player + 1, old_machine, machine
    )
    return continuity_cost(cells, of, player) - before


@compiled
def count_changes(cells, of):  # type: ignore[no-untyped-def]
    """Count every change of the move on trial; return the points added."""
    delta = 0
    for i in range(cells[of.counters + CHANGED]):
        c = of.changed + CHANGE_COLUMNS * i
        delta += recount(
            cells,
            of,
            cells[c + JOB],
            cells[c + FROM_STRINGER],
            cells[c + FROM_MACHINE],
            cells[c + TO_STRINGER],
            cells[c + TO_MACHINE],
        )
    return delta


@compiled
def uncount_changes(cells, of):  # type: ignore[no-untyped-def]
    """Take back `count_changes`."""
    for i in range(cells[of.counters + CHANGED]):
        c = of.changed + CHANGE_COLUMNS * i
        recount(
            cells,
            of,
            cells[c + JOB],
            cells[c + TO_STRINGER],
            cells[c + TO_MACHINE],
            cells[c + FROM_STRINGER],
            cells[c + FROM_MACHINE],
        )
