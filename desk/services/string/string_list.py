"""The strings of an event: what they are called and made of."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.errors import BadInput
from desk.models import StringType
from desk.queries.string.store import string_label
from desk.services.acting import Acting, lock_event, log_change
from desk.services.form_faults import refuse
from desk.trade.racquet.value_kinds import GAUGE_MM

log_store = partial(log_change, subject="store", plan=False)

MATERIALS = ("polyester", "nylon_multifilament", "nylon_monofilament", "natural_gut", "aramid", "other")


@dataclass(frozen=True, kw_only=True)
class StringForm:
    """A string as the desk enters it; maker and model are free text."""

    name: str
    material: str
    gauge_mm: float | None = None
    colour: str = ""
    code: str = ""


def add_string(session: Session, event_id: int, form: StringForm, *, acting: Acting) -> StringType:
    """Add a string to the event's list."""
    event = lock_event(session, event_id)
    _require_string(form)
    taken = set(session.scalars(select(StringType.code).where(StringType.event_id == event.id)))
    code = form.code.strip() or free_code("STR", taken)
    if code in taken:
        raise BadInput(f"There is a string {code} already; take another code.", fields={"code": "is taken"})
    string = StringType(event_id=event.id, code=code, **_string_values(form))
    session.add(string)
    log_store(session, event, acting, f"String {string_label(string)} added")
    return string


def _string_values(form: StringForm) -> dict[str, Any]:
    texts = {"name": form.name.strip(), "colour": form.colour.strip()}
    return texts | {"gauge_mm": form.gauge_mm, "material": form.material}


def _require_string(form: StringForm) -> None:
    faults = {}
    if not form.name.strip():
        faults["name"] = "say what the string is called"
    if form.material not in MATERIALS:
        faults["material"] = "choose one of: " + ", ".join(MATERIALS).replace("_", " ")
    if form.gauge_mm is not None and (fault := GAUGE_MM.fault(form.gauge_mm)):
        faults["gauge_mm"] = f"{fault}, such as 1.25"
    refuse(faults, "This string cannot be saved like this")


def free_code(start: str, taken: set[str]) -> str:
    """Return START with the first number behind it that is not taken."""
    number = 1
    while f"{start}{number}" in taken:
        number += 1
    return f"{start}{number}"
