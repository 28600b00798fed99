"""What a watcher from outside reads: well or not, figures in Prometheus' format, a log without persons.

The format is checked against its own description ("Exposition formats", prometheus.io: a line is a name with labels in
braces and a number; a histogram's buckets grow and end at +Inf with the count).
"""

import json
import logging
import re

import pytest
from sqlalchemy import text

from desk.cli.serve.logs import JsonLines
from desk.models import Player
from desk.web.plan.freshness import PlanWatch
from tests.web.conftest import House
from tests.web.scenes import scene

LINE = re.compile(r'[a-z_]+(\{[a-z]+="[^"\\\n]*"\})? (NaN|[+-]?(Inf|\d+(\.\d+)?(e[+-]?\d+)?))')


@pytest.fixture
def busy(house: House, day: scene.Scene) -> House:
    return house


def figures(house: House) -> dict[str, float]:
    lines = house.client().get("/metrics").text.splitlines()
    return {k: float(v) for k, v in (one.rsplit(" ", 1) for one in lines if not one.startswith("#"))}


def test_every_line_is_one_of_the_format(busy: House) -> None:
    answer = busy.client().get("/metrics")
    assert answer.headers["Content-Type"] == "text/plain; version=0.0.4; charset=utf-8"
    lines = answer.text.splitlines()
    assert [one for one in lines if not one.startswith(("# HELP ", "# TYPE ")) and not LINE.fullmatch(one)] == []


def test_the_figures_are_those_of_the_desk(busy: House) -> None:
    found = figures(busy)
    event = '{event="event-1"}'
    assert found[f"desk_open_jobs{event}"] == 12
    assert found[f"desk_broken_promises{event}"] == 1
    assert found[f"desk_plan_age_seconds{event}"] == pytest.approx(0, abs=60)
    assert found[f"desk_solve_seconds{event}"] == 0.4
    assert found[f"desk_gap{event}"] == 0.25


def test_answers_are_counted_and_the_buckets_grow(busy: House) -> None:
    before = figures(busy)
    busy.as_role("lead").get("/now")
    busy.client().get("/nowhere")
    found = figures(busy)
    # The figures that were asked for before count as well.
    assert found['desk_requests_total{status="200"}'] - before.get('desk_requests_total{status="200"}', 0) == 2
    assert found['desk_requests_total{status="404"}'] - before.get('desk_requests_total{status="404"}', 0) == 1
    buckets = [value for name, value in found.items() if name.startswith("desk_request_seconds_bucket")]
    assert buckets == sorted(buckets) and buckets[-1] == found["desk_request_seconds_count"]


def test_the_figures_are_for_this_machine_or_a_token(busy: House, monkeypatch: pytest.MonkeyPatch) -> None:
    far = {"environ_base": {"REMOTE_ADDR": "203.0.113.9"}}
    assert busy.client().get("/metrics", **far).status_code == 404
    assert busy.client().get("/metrics", headers={"X-Forwarded-For": "203.0.113.9"}).status_code == 404
    monkeypatch.setenv("DESK_METRICS_TOKEN", "a long one")
    assert busy.client().get("/metrics", headers={"Authorization": "Bearer a long one"}, **far).status_code == 200
    assert busy.client().get("/metrics", headers={"Authorization": "Bearer é"}, **far).status_code == 404


def test_it_is_ready_only_with_records_and_a_planner(busy: House) -> None:
    assert busy.client().get("/healthz").text == "ok\n"
    assert busy.client().get("/readyz").status_code == 200
    later = [0.0]
    busy.app.extensions["plan_watch"] = PlanWatch(now=lambda: later[0])
    assert busy.client().get("/readyz").status_code == 200
    later[0] = 60.0
    answer = busy.client().get("/readyz")
    assert (answer.status_code, answer.text) == (503, "the plan of event-1 is not kept up to date\n")
    with busy.database.writing() as session:
        session.execute(text("UPDATE alembic_version SET version_num = '0003'"))
    assert "not of the newest form" in busy.client().get("/readyz").text


def test_the_log_names_the_request_and_no_person(busy: House, caplog: pytest.LogCaptureFixture) -> None:
    player = busy.get(Player, 1)
    with caplog.at_level(logging.INFO, logger="desk.requests"):
        answer = busy.client().get(f"/p/{player.token}", headers={"X-Request-Id": "asked-by-proxy-1"})
        busy.as_role("lead").get(f"/players?q={player.name}")
    lines = [json.loads(JsonLines().format(record)) for record in caplog.records]
    assert answer.headers["X-Request-Id"] == "asked-by-proxy-1"
    assert lines[0] | {"at": "", "ms": 0} == {
        "at": "", "level": "info", "from": "desk.requests", "text": "GET player_page.page", "ms": 0,
        "request": "asked-by-proxy-1",
        "endpoint": "player_page.page", "role": "", "status": 200,
    }  # fmt: skip
    told = json.dumps(lines)
    assert player.token not in told and player.name.split()[0] not in told


def test_a_number_that_was_made_to_hurt_is_not_taken_over(busy: House) -> None:
    answer = busy.client().get("/healthz", headers={"X-Request-Id": "x" * 500})
    assert re.fullmatch(r"[0-9a-f]{16}", answer.headers["X-Request-Id"])
