"""Reading workloads: what is right comes through unchanged, what is wrong is named by its path."""

import json
import math

import pytest
from hypothesis import given

from solver import Points, WorkloadError, read_workload
from solver.contract.workload import Machine, Stringer
from tests.solver.strategies import workloads


def simple(**over):
    """A workload file's contents with one of everything."""
    return {
        "stringers": [{"id": "S1", "windows": [[0, 480]], "home": "M1"}],
        "machines": [{"id": "M1"}],
        "jobs": [{"id": "J1", "player": "P1", "minutes": 20}],
    } | over


def job(**over):
    """A workload whose one job has these fields."""
    return simple(jobs=[{"id": "J1", "player": "P1", "minutes": 20} | over])


def faults_in(data):
    """The faults found in a workload."""
    with pytest.raises(WorkloadError) as caught:
        read_workload(data)
    return caught.value.faults


@given(workloads())
@pytest.mark.slow
def test_a_workload_comes_back_from_its_own_dict(workload):
    assert read_workload(json.loads(json.dumps(workload.to_dict()))) == workload


def test_what_is_absent_takes_its_default():
    workload = read_workload(simple())
    assert (workload.now, workload.target_minutes, workload.history) == (0, 30, {})
    assert workload.stringers == (Stringer(id="S1", windows=((0, 480),), home="M1"),)
    assert workload.machines == (Machine(id="M1"),)
    assert (workload.jobs[0].ready_from, workload.jobs[0].due, workload.jobs[0].weight) == (0, None, 1)


def test_prices_that_come_with_a_workload_stand_in_for_the_usual_ones():
    workload = read_workload(simple(points={"promise": 30}))
    assert workload.points == Points(promise=30)
    assert workload.to_dict()["points"] == {"promise": 30}


def test_no_hours_for_a_machine_are_all_hours_and_for_a_stringer_none():
    workload = read_workload(simple(machines=[{"id": "M1", "windows": []}], stringers=[{"id": "S1", "windows": []}]))
    assert workload.machines[0].windows is None
    assert workload.stringers[0].windows == ()


def test_null_is_absent_where_a_field_may_be():
    assert read_workload(job(due=None, promised=None, planned_stringer=None)).jobs[0].due is None


def test_the_past_may_name_people_who_are_gone():
    workload = read_workload(job(planned_stringer="S9") | {"history": {"P1": {"stringers": ["S9"]}, "P9": {}}})
    assert workload.history["P1"].stringers == ("S9",)


@pytest.mark.parametrize(
    ("data", "fault"),
    [
        ([], "workload: must be an object with named fields, not []."),
        (simple(jobs={}), "jobs: must be a list, not {}."),
        (simple(jobs=[7]), "jobs[0]: must be an object with named fields, not 7."),
        (simple(now=True), "now: must be a whole number, not true."),
        (simple(now=-1), "now: must be from 0 to 1000000000, not -1."),
        (simple(target_minutes=0), "target_minutes: must be from 1 to 1000000000, not 0."),
        (job(minutes=0), "jobs[0].minutes: must be from 1 to 100000, not 0."),
        (job(minutes=12.5), "jobs[0].minutes: must be a whole number, not 12.5."),
        (job(minutes=math.nan), "jobs[0].minutes: must be a whole number, not nan."),
        (job(due="noon"), "jobs[0].due: must be a whole number, not 'noon'."),
        (job(due=10**12), "jobs[0].due: must be from -1000000000 to 1000000000, not 1000000000000."),
        (job(weight=-5), "jobs[0].weight: must be from 0 to 10000, not -5."),
        (job(latest=-1), "jobs[0].latest: must be from 0 to 1000000000, not -1."),
        (job(fresh_from="dawn"), "jobs[0].fresh_from: must be a whole number, not 'dawn'."),
        (simple(spread=101), "spread: must be from 0 to 100, not 101."),
        (simple(points={"late": -1}), "points.late: must be from 0 to 1000000, not -1."),
        (simple(machines=[{"id": "M1", "kind": ""}]), "machines[0].kind: must not be empty."),
        (job(player=""), "jobs[0].player: must not be empty."),
        (job(player=None), "jobs[0].player: must be a text, not null."),
        (job(stringers="S1"), "jobs[0].stringers: must be a list of ids, not 'S1'."),
        (job(stringers=["S1", 2]), "jobs[0].stringers[1]: must be an id (a text), not 2."),
        (job(stringers=["S7"]), "jobs[0].stringers[0]: there is no stringer 'S7' in this workload."),
        (job(after=["J7"]), "jobs[0].after[0]: there is no job 'J7' in this workload."),
        (job(machines=["M7"]), "jobs[0].machines[0]: there is no machine 'M7' in this workload."),
        (job(pinned={"stringer": "S7"}), "jobs[0].pinned.stringer: there is no stringer 'S7' in this workload."),
        (job(pinned=[]), "jobs[0].pinned: must be an object with named fields, not []."),
        (
            job(pinned={"bench": "S1"}),
            "jobs[0].pinned.bench: is no field here; known are machine, stringer.",
        ),
        (
            job(started={"stringer": "S1", "machine": "M1", "start": 5, "end": 5}),
            "jobs[0].started.end: ends at 5, not after its start at 5.",
        ),
        (
            job(started={"stringer": "S1", "machine": "M1", "start": 5}),
            "jobs[0].started.end: is missing.",
        ),
        (
            simple(machines=[{"id": "M1", "windows": [[9, 3]]}]),
            "machines[0].windows[0]: ends at 3, not after its start at 9.",
        ),
        (
            simple(machines=[{"id": "M1", "windows": [[9]]}]),
            "machines[0].windows[0]: must be two whole minutes [from, to], not [9].",
        ),
        (
            simple(machines=[{"id": "M1", "windows": 7}]),
            "machines[0].windows: must be a list of windows such as [[480, 720]], not 7.",
        ),
        (
            simple(machines=[{"id": "M1"}, {"id": "M1"}]),
            "machines[1].id: 'M1' is the id of machines[0] already; give each its own.",
        ),
        (simple(stringers=[{"id": "S1"}]), "stringers[0].windows: is missing."),
        (
            simple(stringers=[{"id": "S1", "windows": [], "home": "M7"}]),
            "stringers[0].home: there is no machine 'M7' in this workload.",
        ),
        (
            simple(stringers=[{"id": "S1", "windows": [], "pace": 0}]),
            "stringers[0].pace: must be from 1 to 10000, not 0.",
        ),
        (simple(history=[]), "history: must be an object with named fields, not []."),
        (simple(history={"P1": {"stringers": 3}}), "history.P1.stringers: must be a list of ids, not 3."),
    ],
)  # fmt: skip
def test_a_fault_is_named_by_its_path(data, fault):
    assert faults_in(data) == [fault]


def test_an_unknown_field_is_refused_with_the_known_ones():
    (fault,) = faults_in(simple(notes="rain"))
    assert fault.startswith("notes: is no field here; known are history, jobs, machines, name")


def test_every_fault_is_found_at_once():
    data = simple(now="x", jobs=[{"id": "J1"}, {"id": "J1", "player": 5, "minutes": -1}])
    assert faults_in(data) == [
        "now: must be a whole number, not 'x'.",
        "jobs[0].player: is missing.",
        "jobs[0].minutes: is missing.",
        "jobs[1].player: must be a text, not 5.",
        "jobs[1].minutes: must be from 1 to 100000, not -1.",
        "jobs[1].id: 'J1' is the id of jobs[0] already; give each its own.",
    ]


def test_two_racquets_started_at_one_bench_at_one_time_are_refused():
    begun = {"stringer": "S1", "machine": "M1", "start": 0, "end": 20}
    jobs = [
        {"id": "J1", "player": "P1", "minutes": 20, "started": begun},
        {"id": "J2", "player": "P1", "minutes": 20, "started": begun | {"start": 19, "end": 39}},
    ]
    assert faults_in(simple(jobs=jobs)) == [
        "jobs[1].started: stringer S1 has J1 until 20; correct one of the two.",
        "jobs[1].started: machine M1 has J1 until 20; correct one of the two.",
    ]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "is no JSON file"),
        ("[[[", "is no JSON file"),
        ('{"now": 1, "now": 2}', "key given twice: now"),
        ("[" * 100_000, "is no JSON file"),
    ],
)
def test_a_file_that_is_no_workload_is_refused(tmp_path, text, message):
    path = tmp_path / "workload.json"
    path.write_text(text)
    (fault,) = faults_in(path)
    assert fault.startswith(f"{path}: ")
    assert message in fault


def test_a_file_that_is_no_text_is_refused(tmp_path):
    path = tmp_path / "workload.json"
    path.write_bytes(b"\xff\xfe\x00")
    (fault,) = faults_in(str(path))
    assert "is no JSON file" in fault


def test_a_missing_file_is_refused(tmp_path):
    (fault,) = faults_in(tmp_path / "none.json")
    assert fault.endswith("none.json: cannot be read (No such file or directory).")


def test_jobs_that_come_after_one_another_in_a_circle_are_refused():
    jobs = [{"id": f"J{n}", "player": "P1", "minutes": 20, "after": [f"J{n % 3 + 1}"]} for n in (1, 2, 3)]
    assert faults_in(simple(jobs=jobs))[0] == "jobs[0].after: J1 would come after itself; take one of the turns away."
