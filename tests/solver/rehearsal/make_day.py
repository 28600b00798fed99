"""Days to play, with boring defaults."""

import numpy as np

from solver.rehearsal import Day, Racquets, Team
from solver.rehearsal.table_columns import NEVER
from tests.solver.make import make_machine, make_stringer


def make_racquets(known, **over):
    """Racquets that come at these minutes: 20 minutes each, of one player, wanted at no time."""
    n = len(known)
    fields = {
        "known": known,
        "ready": known,
        "fresh": known,
        "due": [NEVER] * n,
        "latest": [NEVER] * n,
        "weight": [5] * n,
        "minutes": [20] * n,
        "player": [0] * n,
    } | {name: values for name, values in over.items() if name != "factor"}
    ints = {name: np.array(values, np.int64) for name, values in fields.items()}
    return Racquets(**ints, factor=np.array(over.get("factor", [1.0] * n)))


def make_team(n=1, windows=((0, 10_000),), machines=None, **over):
    """So many stringers, each at a machine of their own unless there are fewer."""
    count = n if machines is None else machines
    return Team(
        name=over.pop("name", "team"),
        stringers=tuple(
            make_stringer(i, windows=tuple(windows), home=f"M{i}" if i < count else None, **over) for i in range(n)
        ),
        machines=tuple(make_machine(i) for i in range(count)),
    )


def make_day(known, *, outages=(), now=0, seed=0, **over):
    """A day of such racquets."""
    return Day(racquets=make_racquets(known, **over), outages=tuple(outages), now=now, seed=seed)
