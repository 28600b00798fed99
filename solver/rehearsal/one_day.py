"""One day played by the compiled rule."""

import math

import numpy as np

from solver.contract.points import Points
from solver.rehearsal import table_columns as col
from solver.rehearsal.day_and_team import Day, Floats, Ints, PlayedDay, Racquets, Team
from solver.rehearsal.dealing import tables
from solver.rehearsal.entry import run
from solver.rehearsal.table_columns import EVERYBODY, MOST_AHEAD, NEVER, QUEUE_JOB, Z_MOST, Z_STEPS
from solver.warming import alone

EFFORT_USUAL = 200
"""Steps of search after each change."""
EFFORT_THOROUGH = 800
"""Steps that come nearer to the planner, where time is given."""


def play(
    day: Day,
    team: Team,
    points: Points | None = None,
    *,
    spread: int = 15,
    target_minutes: int = 30,
    effort: int = EFFORT_USUAL,
    promises: bool = False,
    most_waiting: int | None = None,
) -> PlayedDay:
    """Play a day: each change is planned for by the rule, and the benches do what the plan says.

    A racquet goes where it adds least to the points of the contract; some are then taken out and put
    back better. Ends ahead are taken as uncertain, as the contract's `spread` says.

    Parameters
    ----------
    spread : int
        What the rule takes as the uncertainty of bench times, per cent.
    effort : int
        Steps of search after each change; 0 leaves the racquets where they were put first.
    promises : bool
        Whether a ready time is promised at drop-off, which the plan then tries to keep.
    most_waiting : int, optional
        Racquets that may wait at one stringer; as many as the day has when absent.

    Returns
    -------
    PlayedDay
        Start, end, stringer and machine of every racquet.
    """
    racquets, jobs = day.racquets, _job_table(day.racquets)
    stringers, spare = _stringer_table(team)
    turns, numbers, times = tables(team, day.outages)
    stringers[:, col.WINDOWS] = numbers[0]
    history = _history(day, team, int(racquets.player.max(initial=0)) + 1)
    scalars = _scalars(points or Points(), target_minutes, effort, spread, promises)
    scalars[col.NOW], scalars[col.SPARE], scalars[col.SEED] = day.now, spare, day.seed % (1 << 32)
    arrivals = np.argsort(racquets.known, kind="stable")
    counts = np.zeros((len(history), len(team.stringers)), np.int64)
    factor, moves = np.ascontiguousarray(racquets.factor, np.float64), np.ascontiguousarray(racquets.moves, np.int64)
    chance, most = _uncertainty(spread), max(1, len(racquets) if most_waiting is None else most_waiting)
    run(jobs, factor, arrivals, moves, turns, numbers, times, stringers, counts, history, scalars, chance, most)
    return _as_played(jobs)


def _as_played(jobs: Ints) -> PlayedDay:
    return PlayedDay(
        start=jobs[:, col.START],
        end=jobs[:, col.END],
        stringer=np.where(jobs[:, col.END] >= 0, jobs[:, col.WHO], -1),
        machine=jobs[:, col.WHERE],
        told=jobs[:, col.TOLD],
        promised=jobs[:, col.PROMISED],
        due=jobs[:, col.DUE_THEN],
        latest=jobs[:, col.LATEST_THEN],
    )


def warm_up() -> None:
    """Compile the rule, or load it from the cache on disk; the first time takes some tens of seconds."""
    empty = np.zeros(0, np.int64)
    columns = ("known", "ready", "fresh", "due", "latest", "weight", "minutes", "player")
    racquets = Racquets(**dict.fromkeys(columns, empty), factor=np.zeros(0))
    with alone(run):
        play(Day(racquets=racquets), Team(name="", stringers=(), machines=()))


def _job_table(racquets: Racquets) -> Ints:
    table = np.full((len(racquets), col.JOB_COLUMNS), -1, np.int64)
    for column, values in (
        (col.KNOWN, racquets.known),
        (col.READY, np.maximum(racquets.ready, racquets.known)),
        (col.FRESH, racquets.fresh),
        (col.DUE, racquets.due),
        (col.LATEST, np.maximum(racquets.due, racquets.latest)),
        (col.WEIGHT, racquets.weight),
        (col.MINUTES, racquets.minutes),
        (col.PLAYER, racquets.player),
        (col.WHO_MAY, EVERYBODY if racquets.who_may is None else racquets.who_may),
        (col.WHERE_MAY, EVERYBODY if racquets.where_may is None else racquets.where_may),
        (col.TOLD, NEVER),
        (col.PROMISED, NEVER),
        (col.DUE_THEN, racquets.due),
        (col.LATEST_THEN, np.maximum(racquets.due, racquets.latest)),
    ):
        table[:, column] = values
    return table


def _stringer_table(team: Team) -> tuple[Ints, int]:
    number = {m.id: i for i, m in enumerate(team.machines)}
    kinds = _kinds(team)
    table = np.zeros((len(team.stringers), col.STRINGER_COLUMNS), np.int64)
    table[:, col.RUNNING] = -1
    table[:, col.FREE] = -NEVER
    table[:, col.GUESS] = -NEVER
    for i, s in enumerate(team.stringers):
        table[i, col.PACE], table[i, col.HOME] = s.pace, number.get(s.home or "", -1)
        table[i, col.KIND] = kinds.get(s.home or "", -1)
    homes = {int(h) for h in table[:, col.HOME]}
    usual = len(team.machines) > len(team.stringers) or -1 not in homes
    spare = [i for i in range(len(team.machines)) if i not in homes] if usual else []
    return table, sum(1 << i for i in spare)


def _history(day: Day, team: Team, players: int) -> Ints:
    table = np.zeros((players, col.HISTORY_COLUMNS), np.int64)
    who = {s.id: i for i, s in enumerate(team.stringers)}
    where = {m.id: i for i, m in enumerate(team.machines)}
    kinds = _kinds(team)
    for p, names in day.own_stringers.items():
        table[p, col.HIS_STRINGERS] = sum(1 << who[name] for name in names if name in who)
    for p, names in day.own_machines.items():
        table[p, col.HIS_MACHINES] = sum(1 << where[name] for name in names if name in where)
        known = {kinds[name] for name in names if name in kinds}
        table[p, col.HIS_KINDS] = sum(1 << kind for kind in known)
    return table


def _kinds(team: Team) -> dict[str, int]:
    """Give the number of the kind of each machine whose kind is known."""
    number = {kind: i for i, kind in enumerate(sorted({m.kind for m in team.machines if m.kind is not None}))}
    return {m.id: number[m.kind] for m in team.machines if m.kind is not None}


def _scalars(points: Points, target: int, effort: int, spread: int, promises: bool) -> Ints:
    table = np.zeros(col.SCALARS, np.int64)
    for at, value in (
        (col.TARGET, target),
        (col.EFFORT, effort),
        (col.MARGIN, spread * 100),
        (col.TELLS, int(promises)),
        (col.CAP, NEVER if points.late_cap is None else points.late_cap),
        (col.P_UNPLACED, points.unplaced),
        (col.P_LATE, points.late),
        (col.P_PROMISE, points.promise),
        (col.P_EXTRA_STRINGER, points.extra_stringer),
        (col.P_EXTRA_MACHINE, points.extra_machine),
        (col.P_EXTRA_KIND, points.extra_kind),
        (col.P_AWAY, points.away),
        (col.P_OVER_TARGET, points.over_target),
        (col.P_STALE, points.stale),
        (col.P_WAITING, points.waiting),
    ):
        table[at] = value
    return table


def _uncertainty(spread: int) -> Floats:
    """Give the deviation of an end by minutes ahead, the mean part above zero of a standard normal, the inverses."""
    ahead = np.arange(MOST_AHEAD + 1)
    deviation = spread / 100 * np.sqrt(QUEUE_JOB * ahead)
    z = np.arange(-Z_MOST * Z_STEPS, Z_MOST * Z_STEPS + 2) / Z_STEPS
    above = [x * 0.5 * (1 + math.erf(x / math.sqrt(2))) + math.exp(-x * x / 2) / math.sqrt(2 * math.pi) for x in z]
    inverse = np.divide(1, deviation, out=np.zeros_like(deviation), where=deviation > 0)
    return np.concatenate([deviation, np.array(above), inverse])
