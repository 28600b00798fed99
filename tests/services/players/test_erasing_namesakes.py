"""Erasing one of two players of one name leaves what names the other."""

from sqlalchemy.orm import Session

from desk.models import Event, LogEntry, PlanRun
from desk.services.players import erasing
from tests import make
from tests.make import acting

NAME = "Zdenka Olmo"


def test_the_other_one_keeps_her_name_in_texts_and_in_the_reasons_of_plans(session: Session, event: Event) -> None:
    one, other = (make.make_player(session, event, name=NAME, search_name="zdenka olmo") for _ in range(2))
    line = LogEntry(event_id=event.id, at=acting().at, by="lead", subject="jobs", text="")
    line.text = f"{NAME} ({one.code}) before {NAME} ({other.code}), then {NAME}"
    run = PlanRun(event_id=event.id, made_at=acting().at, change_number=1, status="feasible", total=0, bound=0)
    run.seconds, run.costs, run.unplaced = 0.1, {"late": 1}, []
    run.reasons = {"J1": f"It is behind racquet 2 of {NAME} ({one.code}).", "J2": f"Behind {NAME} ({other.code})."}
    session.add_all([line, run])
    session.flush()
    session.expire_all()
    erasing.erase_player(session, event.id, one.id, acting=acting("Wed 23:00"))
    session.expire_all()
    assert line.text == f"{one.code} before {NAME} ({other.code}), then {one.code}"
    assert run.reasons == {"J1": f"It is behind racquet 2 of {one.code}.", "J2": f"Behind {NAME} ({other.code})."}
    assert (run.costs, other.called) == ({"late": 1}, NAME)
