"""What a message says, in each language: which racquets, when, where, and nothing left in English."""

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from desk.models import Word
from desk.queries.word.letters import Letter, write_letter
from desk.services.bench import jobs
from desk.services.bench.redoing import string_again
from desk.services.promise.promises import renew_promise
from desk.services.team import team
from tests import make
from tests.make import acting, moment
from tests.services.word.asked import AskedDesk

READY = {
    "en": "Racquets 1 ({0}), 2 ({1}) and 3 ({2}): all ready to collect, the last strung at 10:04.",
    "es": "Raquetas 1 ({0}), 2 ({1}) y 3 ({2}): todas listas para recoger, la última encordada a las 10:04.",
    "fr": "Raquettes 1 ({0}), 2 ({1}) et 3 ({2}) : toutes prêtes à retirer, la dernière cordée à 10 h 04.",
    "de": "Schläger 1 ({0}), 2 ({1}) und 3 ({2}): alle fertig zum Abholen, der letzte bespannt um 10:04 Uhr.",
    "it": "Racchette 1 ({0}), 2 ({1}) e 3 ({2}): tutte pronte per il ritiro, l’ultima incordata alle 10:04.",
}
TITLES = {
    "en": "3 racquets are ready",
    "es": "3 raquetas están listas",
    "fr": "3 raquettes sont prêtes",
    "de": "3 Schläger sind fertig",
    "it": "3 racchette sono pronte",
}


def letter(desk: AskedDesk, at: str = "Mon 10:10") -> Letter:
    waiting = desk.session.scalars(select(Word).where(Word.state == "waiting").order_by(Word.id)).all()
    for word in waiting:
        word.letter = "letter"
    return write_letter(desk.session, desk.event, waiting[0].way, waiting, moment(at))


def plain(text: str) -> str:
    return text.replace("\u00a0", " ").replace("\u202f", " ")


@pytest.mark.parametrize("language", READY)
def test_racquets_that_are_ready_stand_in_one_sentence(session: Session, language: str) -> None:
    desk = AskedDesk(session, desk_place="Hall 2")
    desk.way.language = language
    for number in range(3):
        desk.string(number, f"Mon 10:0{2 * number}")
    told = letter(desk)
    codes = [job.code for job in desk.jobs]
    assert (told.title, [plain(line) for line in told.lines]) == (TITLES[language], [READY[language].format(*codes)])
    assert told.place.endswith(": Hall 2")
    assert (told.page, told.stop.endswith(f"?lang={language}")) == (
        f"/p/{desk.desk.player.token}?lang={language}", True,
    )  # fmt: skip


def test_each_kind_of_word_is_a_sentence_and_the_worst_stands_first(session: Session) -> None:
    desk = AskedDesk(session, racquets=4)
    codes = [job.code for job in desk.jobs]
    before = desk.jobs[1].promised_at
    assert before is not None
    desk.string(0, "Mon 10:00")
    renew_promise(session, desk.event.id, desk.jobs[1].id, acting=acting("Mon 10:01"), ready_at=moment("Mon 14:30"))
    jobs.hold_job(session, desk.event.id, desk.jobs[2].id, "wrong grip", acting=acting("Mon 10:01"))
    told = letter(desk, "Mon 10:04")
    assert told.title == "News of your racquets"
    assert told.lines[0] == f"Racquet 3 ({codes[2]}): on hold. Please come to the desk."
    assert told.lines[1].startswith(f"Racquet 2 ({codes[1]}): ready at 14:30, instead of at ")
    assert told.lines[2] == f"Racquet 1 ({codes[0]}): ready to collect, strung at 10:00."


def test_one_that_is_late_says_when_it_is_expected(session: Session) -> None:
    desk = AskedDesk(session, racquets=1)
    job = desk.begin(0, "Mon 10:00")
    job.expected_end_at = moment("Mon 10:25")
    word = Word(
        event_id=desk.event.id, way_id=desk.way.id, job_id=job.id, occasion="late", cause_id=1, at=moment("Mon 10:10"),
        ready_at=moment("Mon 10:05"),
    )  # fmt: skip
    session.add(word)
    session.flush()
    told = f"Racquet 1 ({job.code}): not ready at 10:05 as told. We are sorry."
    assert letter(desk).lines == (f"{told} Now expected: at 10:25.",)
    team.call_in_absent(session, desk.event.id, job.stringer_id, acting=acting("Mon 10:09"), reason="sick")
    assert letter(desk).lines == (told,)


LATE = {
    "en": "Racquet 1 ({0}): not ready at 10:05 as told. We are sorry. Now expected: at 10:25.",
    "es": "Raqueta 1 ({0}): debía estar lista a las 10:05 y aún no lo está. Lo sentimos. Ahora prevista a las 10:25.",
    "fr": "Raquette 1 ({0}) : devait être prête à 10 h 05 et ne l’est pas encore. Toutes nos excuses. "
    "Désormais prévue à 10 h 25.",
    "de": "Schläger 1 ({0}): sollte um 10:05 Uhr fertig sein, ist es aber noch nicht. Das tut uns leid. "
    "Jetzt erwartet: um 10:25 Uhr.",
    "it": "Racchetta 1 ({0}): doveva essere pronta alle 10:05 e non lo è ancora. Ci scusiamo. Ora prevista alle 10:25.",
}


@pytest.mark.parametrize("language", LATE)
def test_one_that_is_late_is_told_in_each_language(session: Session, language: str) -> None:
    desk = AskedDesk(session, racquets=1)
    job = desk.begin(0, "Mon 10:00")
    job.expected_end_at = moment("Mon 10:25")
    desk.way.language = language
    times = {"at": moment("Mon 10:10"), "ready_at": moment("Mon 10:05")}
    where = {"event_id": desk.event.id, "way_id": desk.way.id, "job_id": job.id}
    session.add(Word(**where, **times, occasion="late", cause_id=1))
    session.flush()
    assert plain(letter(desk).lines[0]) == LATE[language].format(job.code)


def test_one_that_is_strung_again_says_its_new_time(session: Session) -> None:
    desk = AskedDesk(session, racquets=1)
    job = desk.string(0, "Mon 10:00")
    for word in session.scalars(select(Word)):
        word.state = "sent"
    again = string_again(session, desk.event.id, job.id, "a missed cross", acting=acting("Mon 10:05"))
    expected = desk.jobs[0].racquet.number
    told = letter(desk)
    assert told.lines[0].startswith(f"Racquet {expected} ({job.code}): not ready after all. We are sorry.")
    assert (again.promised_at is not None) == ("Now expected" in told.lines[0])


def test_one_for_a_court_says_where_it_goes(session: Session) -> None:
    desk = AskedDesk(session, racquets=2)
    court = make.make_court(session, desk.event, name="Court 2")
    desk.jobs[0].on_court, desk.jobs[0].court_id, desk.jobs[1].on_court = True, court.id, True
    desk.string(0, "Mon 10:00")
    desk.string(1, "Mon 10:01")
    assert [line.partition(": ")[2] for line in letter(desk).lines] == [
        "strung at 10:00, on its way to Court 2.",
        "strung at 10:01, on its way to the court.",
    ]


def test_a_contact_reads_whose_racquet_it_is(session: Session) -> None:
    desk = AskedDesk(session, asks=False)
    mine = {"email": "coach@example.org", "token": "coach", "is_told": True}
    make.make_contact(session, desk.event, desk.desk.player, **mine)
    desk.string(0, "Mon 10:00")
    told = letter(desk)
    assert told.lines == (
        f"{desk.desk.player.name}, Racquet 1 ({desk.jobs[0].code}): ready to collect, strung at 10:00.",
    )
    assert told.page == "/for/coach?lang=en"
