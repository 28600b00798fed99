"""Remedies tried beside the screens: a thread tries one after the other, and who asks gets what it has found.

The planner may make a plan every few seconds. One with the same troubles lets the trial go on, for a minute; with
others it is tried anew, and what was found for a racquet stands until the new trial has something for it or is done.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace

from flask import current_app

from desk.queries.plan.mending import TriedRemedy, Wrong, what_is_wrong
from desk.web import context

Steps = Iterator[list[Wrong]]
Remedies = dict[int, tuple[TriedRemedy, ...]]
STANDS_SECONDS = 60.0


@dataclass
class Trial:
    """The remedies for one plan, as far as they were tried; `number` counts the steps so far.

    `latest` is what is wrong with the newest plan that has the same troubles, `before` what another trial found.
    """

    found: list[Wrong]
    latest: list[Wrong] = field(default_factory=list)
    before: Remedies = field(default_factory=dict)
    begun: float = field(default_factory=time.monotonic)
    number: int = 0
    done: bool = False
    given_up: bool = False
    thread: threading.Thread | None = None

    @property
    def step(self) -> tuple[int, bool]:
        """What tells two looks at it apart."""
        return self.number, self.done

    @property
    def shown(self) -> list[Wrong]:
        """What is wrong now, each with the remedies known for it."""
        known = remedies_of(self.found)
        if not self.done:
            known = self.before | known
        return [replace(one, remedies=known.get(one.job_id, ())) for one in self.latest or self.found]

    def stands_for(self, first: list[Wrong]) -> bool:
        """Whether what is tried holds for a newer plan as well: the same troubles, not long ago."""
        is_fresh = time.monotonic() - self.begun < STANDS_SECONDS
        return is_fresh and {(one.job_id, one.kind) for one in first} == {(one.job_id, one.kind) for one in self.found}

    def goes_on_for(self, first: list[Wrong]) -> None:
        self.latest, self.number = first, self.number + 1

    def begin(self, steps: Steps) -> None:
        self.thread = threading.Thread(target=self._go_on, args=(steps,), daemon=True)
        self.thread.start()

    def _go_on(self, steps: Steps) -> None:
        try:
            for found in steps:
                self.found, self.number = found, self.number + 1
                if self.given_up:
                    break
        finally:
            self.done = True

    def wait(self) -> None:
        """Wait until all was tried."""
        if self.thread is not None:
            self.thread.join()


def remedies_of(found: list[Wrong]) -> Remedies:
    return {one.job_id: one.remedies for one in found if one.remedies}


@dataclass
class Trials:
    """The newest trial of each event; one for another plan takes its place."""

    _lock: threading.Lock = field(default_factory=threading.Lock)
    _newest: dict[int, tuple[object, Trial]] = field(default_factory=dict)

    def of(self, event_id: int, plan: object, read: Callable[[], Steps]) -> Trial:
        """Return the trial of a PLAN of an event; READ gives its steps where it is not under way yet."""
        with self._lock:
            known, trial = self._newest.get(event_id, (None, None))
            if trial is not None and known == plan:
                return trial
            steps = read()
            first, before = next(steps), {}
            if trial is not None and trial.stands_for(first):
                trial.goes_on_for(first)
                self._newest[event_id] = (plan, trial)
                return trial
            if trial is not None:
                trial.given_up, before = True, remedies_of(trial.shown)
            trial = Trial(found=first, before=before)
            self._newest[event_id] = (plan, trial)
            trial.begin(steps)
            return trial


def trial_of_plan() -> Trial:
    """Return the trial of the plan in force of the current event."""
    trials: Trials = current_app.extensions.setdefault("trials", Trials())
    session, event, at = context.reading(), context.current_event(), context.event_time()
    return trials.of(event.id, event.current_run_id, lambda: what_is_wrong(session, event.id, at=at))
