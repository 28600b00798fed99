"""Random valid workloads for properties, small enough to be solved to proof."""

from dataclasses import replace

from hypothesis import strategies as st

from solver import Points, Workload
from solver.contract.workload import History, Job, Machine, Started, Stringer, bench_minutes


@st.composite
def windows(draw, *, latest=240):
    """Up to three windows in order, now and then touching."""
    edges = sorted(draw(st.lists(st.integers(0, latest), min_size=2, max_size=6)))
    pairs = zip(edges[::2], edges[1::2], strict=False)
    return tuple((a, b) for a, b in pairs if a < b)


@st.composite
def stringers(draw, machines, *, at_least=1, at_most=3):
    """Stringers with hours, some at a home machine, some sharing one."""
    count = draw(st.integers(at_least, at_most))
    return tuple(
        Stringer(
            id=f"S{i}",
            windows=draw(windows()),
            pace=draw(st.sampled_from([85, 100, 120])),
            home=draw(st.none() | st.sampled_from([m.id for m in machines])),
        )
        for i in range(count)
    )


@st.composite
def jobs(draw, number, team, machines):
    """One job with anything that the rules or goals look at."""
    people, benches = [s.id for s in team], [m.id for m in machines]
    return Job(
        id=f"J{number}",
        player=draw(st.sampled_from(["P0", "P1", "P2"])),
        minutes=draw(st.integers(1, 40)),
        ready_from=draw(st.integers(0, 150)),
        fresh_from=draw(rarely(st.integers(0, 200))),
        due=(due := draw(st.none() | st.integers(-20, 260))),
        latest=draw(rarely(st.integers(0, 60).map(lambda more: max(0, (due or 0) + more)))),
        weight=draw(st.sampled_from([0, 1, 5, 20])),
        promised=draw(st.none() | st.integers(0, 260)),
        planned_stringer=draw(st.none() | st.sampled_from(people)),
        pinned_stringer=draw(rarely(st.sampled_from(people))),
        pinned_machine=draw(rarely(st.sampled_from(benches))),
        stringers=draw(rarely(st.lists(st.sampled_from(people), max_size=2).map(tuple))),
        machines=draw(rarely(st.lists(st.sampled_from(benches), max_size=2).map(tuple))),
    )


def turns(ahead):
    """Some of the jobs ahead, now and then."""
    names = st.lists(st.sampled_from([job.id for job in ahead]), max_size=2, unique=True) if ahead else st.just([])
    return st.integers(0, 3).flatmap(lambda n: names if n == 0 else st.just([])).map(tuple)


def rarely(values):
    """None three times in four."""
    return st.integers(0, 3).flatmap(lambda n: values if n == 0 else st.none())


@st.composite
def histories(draw, team, machines):
    """What one player knows already, perhaps somebody who has left."""
    return History(
        stringers=tuple(draw(st.lists(st.sampled_from([*(s.id for s in team), "gone"]), max_size=2, unique=True))),
        machines=tuple(draw(st.lists(st.sampled_from([*(m.id for m in machines), "gone"]), max_size=2, unique=True))),
    )


@st.composite
def workloads(draw, *, most_jobs=6, team_size=(1, 3)):
    """A valid workload with up to `most_jobs` jobs, a team of a size in between, and 3 machines."""
    machines = tuple(
        Machine(
            id=f"M{i}",
            kind=draw(rarely(st.sampled_from(["drop weight", "electric"]))),
            windows=draw(rarely(windows().filter(bool))),
        )
        for i in range(draw(st.integers(1, 3)))
    )
    least, most = team_size
    team = draw(stringers(machines, at_least=least, at_most=most))
    work = [draw(jobs(i, team, machines)) for i in range(draw(st.integers(0, most_jobs)))]
    work = [replace(job, after=draw(turns(work[:i]))) for i, job in enumerate(work)]
    now = draw(st.integers(0, 60))
    if work and draw(st.booleans()):
        work[0] = started(draw, work[0], team, machines, now)
    players = sorted({job.player for job in work})
    return Workload(
        name="random",
        now=now,
        target_minutes=draw(st.integers(1, 40)),
        spread=draw(st.sampled_from([0, 0, 15, 60])),
        stringers=team,
        machines=machines,
        jobs=tuple(work),
        history={p: draw(histories(team, machines)) for p in players if draw(st.booleans())},
    )


def started(draw, job, team, machines, now):
    """The same job on a machine since before `now`."""
    stringer, machine = draw(st.sampled_from(team)), draw(st.sampled_from(machines))
    start = max(0, now - draw(st.integers(0, 20)))
    begun = Started(stringer=stringer.id, machine=machine.id, start=start, end=start + bench_minutes(job, stringer))
    return replace(job, ready_from=min(job.ready_from, start), started=begun)


POINTS = st.builds(
    Points,
    unplaced=st.sampled_from([0, 50, 100_000]),
    late=st.sampled_from([0, 1, 100]),
    promise=st.sampled_from([0, 7, 100]),
    extra_stringer=st.sampled_from([0, 40, 1500]),
    extra_machine=st.sampled_from([0, 30, 500, 3000]),
    extra_kind=st.sampled_from([0, 70, 2000]),
    stale=st.sampled_from([0, 25, 400]),
    away=st.sampled_from([0, 9, 200, 5000]),
    over_target=st.sampled_from([0, 50]),
    moved=st.sampled_from([0, 300]),
    waiting=st.sampled_from([0, 1, 10]),
    late_cap=st.sampled_from([None, 0, 10, 120]),
)
"""Any points, with headings that cost nothing and caps of every kind."""
