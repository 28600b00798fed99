"""The shape of every table of a search."""

from solver.search.kernels.layout import MAX_SLOTS, MOVE_KINDS, SAMPLES, THRESHOLDS


def shapes(
    *, jobs: int, stringers: int, machines: int, players: int, kinds: int, windows: int, end_points: int, turns: int
) -> dict[str, tuple[int, ...]]:
    """Give the shape of every table of a search."""
    return {
        "jobs": (jobs,),
        "fits": (jobs, stringers),
        "benches": (stringers, machines),
        "windows": (windows,),
        "end_points": (end_points,),
        "may": (jobs, stringers),
        "where": (jobs, machines),
        "allowed": (jobs, machines),
        "player_jobs": (jobs,),
        "mix": (MOVE_KINDS,),
        "thresholds": (THRESHOLDS,),
        "owned": (jobs,),
        "turns": (turns,),
        "places": (jobs,),
        "best": (jobs,),
        "order": (stringers + 1, jobs),
        "later": (stringers, jobs + 1),
        "sooner": (stringers, jobs + 1),
        "team": (stringers + 1,),
        "machines": (machines,),
        "guests": (machines, jobs),
        "players": (players,),
        "stringer_use": (players, stringers),
        "machine_use": (players, machines),
        "kind_use": (players, kinds),
        "slots": (MAX_SLOTS,),
        "trial": (MAX_SLOTS, jobs),
        "changes": (jobs,),
        "given": (jobs,),
        "sequence": (jobs,),
        "samples": (SAMPLES,),
    }
