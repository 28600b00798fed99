"""What one message says: the racquets with their time, the place, and where to look or to end it, in its language."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Assignment, Court, Event, Job, Word, WordWay
from desk.queries.play.play_records import clock_of
from desk.queries.promise.open_times import open_times
from desk.queries.row_making import row_of
from desk.tongues import colon_in, list_in, said_day_in, time_in, translations

ORDER = ("taken_back", "late", "held", "later", "sooner", "ready")
"""What is worst stands first."""


@dataclass(frozen=True, kw_only=True)
class Letter:
    """One message, ready to be sent; `page` and `stop` are paths below the desk's public address."""

    token: str
    kind: str
    address: str
    public_key: str
    auth_secret: str
    language: str
    event: str
    title: str
    lines: tuple[str, ...]
    place: str
    page: str
    stop: str
    stop_words: str


def write_letter(session: Session, event: Event, way: WordWay, words: Sequence[Word], at: datetime) -> Letter:
    """Return the message that tells WAY these words at AT; times are the event's wall clock."""
    ordered = sorted(words, key=lambda word: (ORDER.index(word.occasion), word.job.racquet.number, word.job_id))
    writer = _Writer(session, event, way, at)
    title = writer.title(ordered)
    lines = writer.lines(ordered)
    gettext = translations(way.language).ugettext
    place = gettext("Stringing desk")
    if event.desk_place:
        place += f"{colon_in(way.language)} {event.desk_place}"
    return row_of(
        Letter,
        way,
        token=words[0].letter,
        event=event.name,
        title=title,
        lines=tuple(lines),
        place=place,
        page=f"/{'p' if way.player_id is not None else 'for'}/{way.whose.token}?lang={way.language}",
        stop=f"/word/stop/{way.stop_token}?lang={way.language}",
        stop_words=gettext("Tell me no more"),
    )


class _Writer:
    """Writes in one language for one person."""

    def __init__(self, session: Session, event: Event, way: WordWay, at: datetime) -> None:
        self.session, self.event, self.at = session, event, at
        self.language, self.names_player = way.language, way.contact_id is not None
        self.clock = clock_of(session, event)
        self.gettext, self.ngettext = translations(way.language).ugettext, translations(way.language).ungettext

    def title(self, words: Sequence[Word]) -> str:
        gettext, ngettext = self.gettext, self.ngettext
        if len({word.occasion for word in words}) > 1:
            return gettext("News of your racquets")
        count = len({word.job_id for word in words})
        text = {
            "ready": ngettext("%(num)s racquet is ready", "%(num)s racquets are ready", count),
            "later": ngettext("%(num)s racquet takes longer", "%(num)s racquets take longer", count),
            "sooner": ngettext("%(num)s racquet is ready sooner", "%(num)s racquets are ready sooner", count),
            "late": ngettext("%(num)s racquet is late", "%(num)s racquets are late", count),
            "held": ngettext("%(num)s racquet is on hold", "%(num)s racquets are on hold", count),
            "taken_back": ngettext("%(num)s racquet is not ready yet", "%(num)s racquets are not ready yet", count),
        }[words[0].occasion]
        return text % {"num": count}

    def lines(self, words: Sequence[Word]) -> list[str]:
        """Return a sentence for each that is told; racquets of one player that are ready share one."""
        ready: dict[tuple[int, str], list[Word]] = {}
        said: list[str] = []
        for word in words:
            if word.occasion == "ready":
                ready.setdefault((word.job.player_id, self._to_court(word.job)), []).append(word)
            else:
                said.append(self._changed(word))
        return list(dict.fromkeys([*said, *(self._ready(group, court) for (_, court), group in ready.items())]))

    def _to_court(self, job: Job) -> str:
        if not job.on_court:
            return ""
        court = self.session.get(Court, job.court_id) if job.court_id else None
        return court.name if court else self.gettext("the court")

    def _ready(self, words: Sequence[Word], court: str) -> str:
        jobs = list({word.job_id: word.job for word in words}.values())
        parts = {"racquets": self._racquets(jobs), "court": court}
        parts |= {"at": self._at(max(word.job.finished_at or word.at for word in words))}
        ngettext = self.ngettext
        ready = ngettext(
            "%(racquets)s: ready to collect, strung %(at)s.",
            "%(racquets)s: all ready to collect, the last strung %(at)s.",
            len(jobs),
        )
        on_its_way = ngettext(
            "%(racquets)s: strung %(at)s, on its way to %(court)s.",
            "%(racquets)s: on their way to %(court)s, the last strung %(at)s.",
            len(jobs),
        )
        return (on_its_way if court else ready) % parts

    def _changed(self, word: Word) -> str:
        gettext, job = self.gettext, word.job
        parts = {"racquets": self._racquets([job])}
        if word.occasion == "held":
            return gettext("%(racquets)s: on hold. Please come to the desk.") % parts
        if word.occasion in ("later", "sooner"):
            parts |= {"at": self._at(word.ready_at), "before": self._at(word.known_at)}
            return gettext("%(racquets)s: ready %(at)s, instead of %(before)s.") % parts
        if word.occasion == "taken_back":
            return self._then(gettext("%(racquets)s: not ready after all. We are sorry.") % parts, self._again_at(job))
        text = gettext("%(racquets)s: not ready %(at)s as told. We are sorry.") % (
            parts | {"at": self._at(word.ready_at)}
        )
        return self._then(text, self._expected_at(job))

    def _then(self, text: str, at: datetime | None) -> str:
        if at is None or at <= self.at:
            return text
        gettext = self.gettext
        expected = gettext("Now expected: %(at)s.") % {"at": self._at(at)}
        return f"{text} {expected}"

    def _racquets(self, jobs: Sequence[Job]) -> str:
        """Return "Racquet 3 (K4T2)", or for several "Racquets 1, 2 and 4"; with the player's name for a contact."""
        numbers = list(dict.fromkeys(f"{job.racquet.number} ({job.code})" for job in jobs))
        parts = {"numbers": list_in(self.language, numbers)}
        text = self.ngettext("Racquet %(numbers)s", "Racquets %(numbers)s", len(numbers)) % parts
        return f"{jobs[0].player.called}, {text}" if self.names_player else text

    def _at(self, moment: datetime | None) -> str:
        """Return "at 13:05", with its day where that is not today's."""
        if moment is None:
            return ""
        local, gettext = self.clock.local(moment), self.gettext
        time = time_in(self.language, local)
        if local.date() == self.clock.local(self.at).date():
            return gettext("at %(time)s") % {"time": time}
        return gettext("on %(day)s at %(time)s") % {"day": said_day_in(self.language, local), "time": time}

    def _expected_at(self, job: Job) -> datetime | None:
        if job.id in open_times(self.session, self.event, self.at):
            return None
        planned = select(Assignment.end_at).where(
            Assignment.run_id == (self.event.current_run_id or 0), Assignment.job_id == job.id
        )
        return job.expected_end_at or self.session.scalar(planned)

    def _again_at(self, job: Job) -> datetime | None:
        """Return when a racquet that was taken back is ready: by its promise, or by that of its second stringing."""
        again = self.session.scalar(select(Job).where(Job.redo_of_id == job.id).order_by(Job.id.desc()).limit(1))
        return (again or job).promised_at
