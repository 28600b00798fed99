"""Frame models: head, pattern, and the tension range printed on the frame."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from functools import partial

from sqlalchemy.orm import Session

from desk.models import Frame
from desk.services.acting import Acting, lock_and_find, lock_event, log_change
from desk.services.form_values import change, chosen_code, codes_of, refuse, values_of
from desk.trade.errors import UnitError
from desk.trade.racquet.string_length import COUNTS
from desk.trade.racquet.units import Tension
from desk.trade.racquet.value_kinds import HEAD_LENGTH_CM, HEAD_SQ_IN, HEAD_WIDTH_CM

_log = partial(log_change, subject="players", plan=False)

HEAD = {"head_sq_in": HEAD_SQ_IN, "head_length_cm": HEAD_LENGTH_CM, "head_width_cm": HEAD_WIDTH_CM}


@dataclass(frozen=True, kw_only=True)
class FrameForm:
    """A frame model as the desk enters it; measured inner length and width go before the area."""

    name: str
    mains: int
    crosses: int
    head_sq_in: float | None = None
    head_length_cm: float | None = None
    head_width_cm: float | None = None
    tension_low: Decimal | None = None
    tension_high: Decimal | None = None
    tension_unit: str | None = None


def add_frame(session: Session, event_id: int, form: FrameForm, *, acting: Acting, code: str = "") -> Frame:
    """Add a frame model to the event's list."""
    event = lock_event(session, event_id)
    _require_frame(form)
    found = chosen_code(code, codes_of(session, event, Frame), "F", "frame")
    frame = Frame(event_id=event.id, code=found, **values_of(form))
    session.add(frame)
    _log(session, event, acting, f"Frame {frame.name} added")
    return frame


def edit_frame(session: Session, event_id: int, frame_id: int, form: FrameForm, *, acting: Acting) -> Frame:
    """Change a frame model; its code stays."""
    event, frame = lock_and_find(session, event_id, Frame, frame_id, "frame")
    _require_frame(form)
    change(frame, values_of(form))
    _log(session, event, acting, f"Frame {frame.name} changed")
    return frame


def _require_frame(form: FrameForm) -> None:
    faults = {} if form.name.strip() else {"name": "say what the frame is called"}
    for name, allowed in COUNTS.items():
        if getattr(form, name) not in allowed:
            faults[name] = f"count from {allowed[0]} to {allowed[-1]}"
    for name, kind in HEAD.items():
        value = getattr(form, name)
        if value is not None and (fault := kind.fault(value)):
            faults[name] = f"give {fault}"
    if (form.head_length_cm is None) != (form.head_width_cm is None):
        faults.setdefault("head_width_cm", "give inner length and width, or neither")
    faults |= _range_faults(form)
    refuse(faults, "This frame cannot be saved like this")


def _range_faults(form: FrameForm) -> dict[str, str]:
    given = [form.tension_low, form.tension_high]
    if given == [None, None]:
        return {}
    if None in given or form.tension_unit not in ("lb", "kg"):
        return {"tension_high": "give both ends of the printed range with lb or kg, or neither"}
    try:
        low, high = (Tension(value, form.tension_unit) for value in given)
    except UnitError as error:
        return {"tension_high": str(error)}
    return {} if low.value <= high.value else {"tension_high": "give the lower end first"}
