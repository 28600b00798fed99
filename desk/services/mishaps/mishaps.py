"""Something went wrong with a racquet: noted, mended where it can be, and closed by somebody."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

from sqlalchemy.orm import Session

from desk.errors import BadInput, Conflict
from desk.models import Event, Job, Mishap
from desk.services.acting import Acting, lock_and_find, log_change, note_change, write_log
from desk.services.bench.jobs import next_serial
from desk.services.bench.redoing import string_again
from desk.trade.bench.tag_code import make_code
from desk.trade.mishaps import FIRST_OF_ALL, KINDS

_log = partial(log_change, subject="mishaps", plan=False)


@dataclass(frozen=True, kw_only=True)
class MishapForm:
    """What somebody says went wrong; `again` asks to string it anew, free of charge and before others."""

    kind: str
    note: str = ""
    again: bool = False


def report_mishap(session: Session, event_id: int, job_id: int, form: MishapForm, *, acting: Acting) -> Mishap:
    """Note what went wrong with a racquet; a lost tag is replaced at once.

    Refused for a kind that cannot happen to a racquet in this state.
    """
    event, job = lock_and_find(session, event_id, Job, job_id, "job")
    kind = KINDS.get(form.kind)
    if kind is None or job.state not in kind.states:
        raise BadInput("Choose what went wrong.", fields={"kind": "choose what can have happened to this racquet"})
    if form.again and not kind.again:
        raise BadInput(
            "Stringing anew helps with a broken string or a wrong tension only.",
            fields={"again": "does not help here"},
        )
    mishap = Mishap(event_id=event.id, job_id=job.id, kind=kind.key, note=form.note.strip(), at=acting.at, by=acting.by)
    session.add(mishap)
    said = f"{job.code}: {kind.words[0].lower()}{kind.words[1:]}{f', {mishap.note}' if mishap.note else ''}"
    write_log(session, event, acting, "mishaps", said, job_id=job.id)
    if kind.key == "tag_lost":
        mishap.done = f"New tag {_replace_tag(session, event, job, acting)}"
    if form.again:
        again = string_again(session, event_id, job.id, kind.words, acting=acting)
        again.weight = FIRST_OF_ALL
        mishap.again_id = again.id
    session.flush()
    note_change(event, plan=form.again)
    return mishap


def _replace_tag(session: Session, event: Event, job: Job, acting: Acting) -> str:
    """Give a job a new code; the old one is known to nobody any more."""
    old, job.serial = job.code, next_serial(session, event)
    job.code = make_code(job.serial)
    session.flush()
    write_log(session, event, acting, "jobs", f"{old} has the new tag {job.code}; {old} is void", job_id=job.id)
    return job.code


def close_mishap(session: Session, event_id: int, mishap_id: int, done: str, *, acting: Acting) -> Mishap:
    """Take a mishap off the lead's list, with what was done: checked, told, strung anew."""
    event, mishap = lock_and_find(session, event_id, Mishap, mishap_id, "mishap")
    if not done.strip():
        raise BadInput("Say what was done.", fields={"done": "say what was done"})
    if mishap.closed_at is not None:
        raise Conflict(f"{mishap.closed_by} closed this already.")
    mishap.done, mishap.closed_at, mishap.closed_by = done.strip(), acting.at, acting.by
    _log(session, event, acting, f"{mishap.job.code} closed: {mishap.done}", job_id=mishap.job_id)
    return mishap


def reopen_mishap(session: Session, event_id: int, mishap_id: int, *, acting: Acting) -> Mishap:
    """Put a closed mishap back on the lead's list."""
    event, mishap = lock_and_find(session, event_id, Mishap, mishap_id, "mishap")
    mishap.closed_at, mishap.closed_by = None, ""
    _log(session, event, acting, f"{mishap.job.code} opened again", job_id=mishap.job_id)
    return mishap
