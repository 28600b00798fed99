"""The rules of a plan, each one function by the name of its check in `solver.judge.check`."""

from collections.abc import Callable

from ortools.sat.python import cp_model

from solver.contract.workload import Workload
from solver.model.rules.benches import (
    goes_where_it_may,
    keeps_its_turn,
    one_racquet_a_machine,
    one_racquet_a_stringer,
)
from solver.model.rules.hours import not_before_ready, takes_bench_time, within_machine_hours, within_stringer_hours
from solver.model.rules.jobs import every_job_once, started_jobs_stand
from solver.model.variables import Variables

Rule = Callable[[cp_model.CpModel, Workload, Variables], None]

RULES: tuple[Rule, ...] = (
    every_job_once,
    started_jobs_stand,
    not_before_ready,
    takes_bench_time,
    within_stringer_hours,
    within_machine_hours,
    goes_where_it_may,
    keeps_its_turn,
    one_racquet_a_stringer,
    one_racquet_a_machine,
)
