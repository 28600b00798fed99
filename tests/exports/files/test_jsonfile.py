import json
from copy import deepcopy
from dataclasses import fields, is_dataclass
from typing import Annotated, get_origin, get_type_hints

import pytest
from jsonschema import Draft202012Validator, ValidationError

from exports.files.jsonfile import write_json
from exports.files.schema import json_schema
from exports.report import Summary, UsageReport
from exports.rows import checks, jobs, mishaps, money, stock, work
from exports.units import Tension
from tests.exports.full_report import make_full_report
from tests.exports.make import make_job, make_report

ROWS = (checks, jobs, mishaps, money, stock, work)


def validate(content):
    Draft202012Validator(json_schema()).validate(content)


def test_schema_is_a_schema():
    Draft202012Validator.check_schema(json_schema())


@pytest.mark.parametrize("report", [make_report(), make_full_report(jobs=60), make_full_report(jobs=60, days=3)])
def test_report_is_valid_under_its_schema(report):
    validate(json.loads(write_json(report)))


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("version",), 1),
        (("days",), "2026-07-08"),
        (("made_at",), "2026-07-08T23:10:00+02:00"),
        (("jobs", 0, "mains_tension", "unit"), "stone"),
        (("jobs", 0, "charge"), "25.50"),
        (("jobs", 0, "tag"), None),
        (("summary", "surprise"), 1),
    ],
)
def test_schema_refuses_what_the_format_does_not_say(path, value):
    content = deepcopy(json.loads(write_json(make_report(jobs=(make_job(),)))))
    place = content
    for step in path[:-1]:
        place = place[step]
    place[path[-1]] = value
    with pytest.raises(ValidationError):
        validate(content)


def test_rows_keep_their_fields_and_tensions_both_units():
    content = json.loads(write_json(make_report(jobs=(make_job(player="=1+1 🎾"),))))
    job = content["jobs"][0]
    assert (content["format"], content["version"]) == ("usage-report", 3)
    assert (job["charge"], job["currency"]) == (25.0, "EUR")
    assert job["player"] == "=1+1 🎾"
    assert job["ready_at"] == "2026-07-08T11:02:00"
    assert job["mains_tension"] == {
        "value": 53.5,
        "unit": "lb",
        "lb": 53.5,
        "kg": pytest.approx(53.5 * 0.45359237),
    }


def test_every_field_of_every_row_is_described():
    classes = [kind for module in ROWS for kind in vars(module).values() if is_dataclass(kind)]
    classes += [Summary, UsageReport, Tension]
    for kind in classes:
        hints = get_type_hints(kind, include_extras=True)
        bare = [field.name for field in fields(kind) if get_origin(hints[field.name]) is not Annotated]
        assert (kind.__name__, bare) == (kind.__name__, [])
    assert len(classes) >= 20
