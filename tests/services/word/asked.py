"""A small desk where somebody asked for word, and what became of it."""

from datetime import datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Job, Word, WordWay
from desk.queries.word.letters import Letter
from desk.services.acting import Acting
from desk.services.bench import jobs
from desk.services.counter.drop_offs import take_drop_off
from desk.services.word.sending import Outcome
from desk.services.word.word_ways import Asked, ask
from tests.make import acting, moment
from tests.services.small_desk import ALL_CHECKED, SmallDesk, small_desk

MAIL = "ilka@example.org"


class AskedDesk:
    """A desk with a player who is told by e-mail, and some racquets of one visit that are strung one by one."""

    def __init__(self, session: Session, *, racquets: int = 3, asks: bool = True, **over: Any) -> None:
        self.session = session
        self.desk: SmallDesk = small_desk(session, **over)
        self.event = self.desk.event
        form = self.desk.bag(racquets)
        visit = take_drop_off(session, self.event.id, form, acting=acting("Mon 09:00"))
        self.jobs: list[Job] = list(visit.jobs)
        self.way = self.ask() if asks else None

    def ask(self, address: str = MAIL, language: str = "en", **over: Any) -> WordWay:
        whose = over if over else {"player_id": self.desk.player.id}
        asked = Asked(kind="mail", address=address, language=language, **whose)
        return ask(self.session, self.event.id, asked, acting=acting("Mon 09:01"))

    def begin(self, number: int, at: str) -> Job:
        stringer, machine = self.desk.stringers[0].id, self.desk.machines[0].id
        return jobs.start_job(
            self.session,
            self.event.id,
            self.jobs[number].id,
            acting=acting(at),
            stringer_id=stringer,
            machine_id=machine,
        )

    def string(self, number: int, at: str) -> Job:
        """String a racquet within five minutes, ready at AT."""
        done = moment(at)
        self.begin(number, at)
        return jobs.finish_job(
            self.session, self.event.id, self.jobs[number].id, ALL_CHECKED, acting=Acting(by="bench", at=done)
        )

    def words(self) -> list[tuple[str, str]]:
        """Return occasion and state of each word, in the order in which they were noted."""
        rows = self.session.scalars(select(Word).order_by(Word.id))
        return [(row.occasion, row.state) for row in rows]


class Postman:
    """Takes messages instead of a server: keeps them, and answers as it was told to, at last for ever the same."""

    def __init__(self, *answers: str) -> None:
        self.letters: list[Letter] = []
        self.answers = list(answers) or ["sent"]

    def __call__(self, letter: Letter, at: datetime) -> Outcome:
        self.letters.append(letter)
        state = self.answers.pop(0) if len(self.answers) > 1 else self.answers[0]
        return Outcome(state=state, why="" if state == "sent" else f"it was {state}")
