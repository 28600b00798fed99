"""The strings of an event: what they are called and made of."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

from sqlalchemy.orm import Session

from desk.models import StringType
from desk.queries.string.store import string_label
from desk.services.acting import Acting, lock_event, log_change
from desk.services.form_values import chosen_code, codes_of, refuse, values_of
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
    code = chosen_code(form.code, codes_of(session, event, StringType), "STR", "string")
    string = StringType(event_id=event.id, **values_of(form) | {"code": code})
    session.add(string)
    log_store(session, event, acting, f"String {string_label(string)} added")
    return string


def _require_string(form: StringForm) -> None:
    faults = {}
    if not form.name.strip():
        faults["name"] = "say what the string is called"
    if form.material not in MATERIALS:
        faults["material"] = "choose one of: " + ", ".join(MATERIALS).replace("_", " ")
    if form.gauge_mm is not None and (fault := GAUGE_MM.fault(form.gauge_mm)):
        faults["gauge_mm"] = f"{fault}, such as 1.25"
    refuse(faults, "This string cannot be saved like this")
