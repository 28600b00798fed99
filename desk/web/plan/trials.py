"""Remedies tried beside the screens: a thread tries one after the other, and who asks gets what it has found."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from flask import current_app

from desk.queries.plan.mending import Wrong, what_is_wrong
from desk.web import context

Steps = Iterator[list[Wrong]]


@dataclass
class Trial:
    """The remedies for one plan, as far as they were tried; `number` counts the steps so far."""

    found: list[Wrong]
    number: int = 0
    done: bool = False
    given_up: bool = False
    thread: threading.Thread | None = None

    @property
    def step(self) -> tuple[int, bool]:
        """What tells two looks at it apart."""
        return self.number, self.done

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
            if trial is not None:
                trial.given_up = True
            steps = read()
            trial = Trial(found=next(steps))
            self._newest[event_id] = (plan, trial)
            trial.begin(steps)
            return trial


def trial_of_plan() -> Trial:
    """Return the trial of the plan in force of the current event."""
    trials: Trials = current_app.extensions.setdefault("trials", Trials())
    session, event, at = context.reading(), context.current_event(), context.event_time()
    return trials.of(event.id, event.current_run_id, lambda: what_is_wrong(session, event.id, at=at))
