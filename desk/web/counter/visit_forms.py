"""The form of a drop-off: a card for each racquet that is taken in, and what holds for the whole visit."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from flask import request
from wtforms import BooleanField, HiddenField, RadioField, StringField
from wtforms.validators import Length

from desk.queries.players.players import RacquetRow
from desk.trade.drop_off_forms import DropOffForm, RacquetForm
from desk.trade.errors import TradeError
from desk.trade.event.event_settings import CLUB_WEEKEND
from desk.trade.play.needed_by import FIRST
from desk.trade.racquet.frame_answer import ANSWER_WORDS, CRACKED, FRAME_CHECKS, SOUND, WORN
from desk.web import context
from desk.web.counter.card_form import CardPart, card_part
from desk.web.forms import KeyedForm, TicksField, options, row_number

WANTED_BY = (("time", "A day and time"), ("none", "When it is ready"))
"""Where there are no matches."""
NEEDED_BY = (("match", "Next match"), ("time", "A time"), ("none", "No time"), ("on_court", "On court now"))

FRAME_WORDS = ((SOUND, "Sound"), (WORN, "Grommets worn"), (CRACKED, "Cracked"))


class VisitForm(KeyedForm):
    """One visit; `parts` holds a card for each racquet of the player."""

    needed_by_kind = RadioField("Needed by", choices=options(NEEDED_BY), default="match")
    needed_by_time = StringField("Time")
    not_before = StringField("Not before")
    frame_check = RadioField("Frames looked over with the owner", choices=options(FRAME_WORDS), validate_choice=False)
    frame_which = TicksField("Which of them?", coerce=int, validate_choice=False)
    frame_meant = BooleanField("Looked at once more: the answer stands")
    frame_note = StringField("What was found", [Length(max=300)])
    consent = StringField("The owner’s consent", [Length(max=300)])
    low_meant = BooleanField("It is meant so low")
    stringer_id = HiddenField(filters=[row_number])
    first_id = HiddenField(filters=[row_number])
    who = RadioField("Brought by", validate_choice=False)
    brought_by = StringField("Somebody else", [Length(max=80)])

    parts: Sequence[CardPart] = ()

    @property
    def taken(self) -> list[CardPart]:
        return [part for part in self.parts if part.take.data]

    def validate(self, extra_validators: Any = None) -> bool:
        fine = super().validate(extra_validators)
        right = [part.validate() for part in self.parts]
        if not self.taken:
            self.trouble = "Choose the racquets that are handed in."
        elif not all(right):
            self.trouble = "Something is still missing; it stands beside its field."
        elif self.answer in (WORN, CRACKED) and len(self.taken) > 1 and not self.frame_which.data:
            self.trouble = f"Tick under Frames which racquets are meant: {ANSWER_WORDS[self.answer]}."
            self.frame_which.errors = ["tick one or more"]
        self.needed_by_at()
        self.not_before_at()
        return fine and all(right) and bool(self.taken) and not self.errors

    @property
    def answer(self) -> str:
        """What was found on the frames: of one of them at least where it is worn or cracked."""
        return self.frame_check.data if self.frame_check.data in FRAME_CHECKS else ""

    def answer_for(self, part: CardPart) -> str:
        """Return the answer for one racquet: what was found on another leaves it sound."""
        which = self.frame_which.data or ()
        return SOUND if self.answer and which and part.racquet.racquet_id not in which else self.answer

    def note_on(self, part: CardPart) -> str:
        """Return the note where it is on this racquet: on those on which something was found, else on any."""
        found = [one for one in self.taken if self.answer_for(one) in (WORN, CRACKED)]
        return (self.frame_note.data or "") if part in found or not found else ""

    def needed_by_at(self) -> datetime | None:
        if self.needed_by_kind.data != "time":
            return None
        return self._moment("needed_by_time", must=True)

    def not_before_at(self) -> datetime | None:
        return self._moment("not_before", must=False)

    def _moment(self, name: str, *, must: bool) -> datetime | None:
        """Return the time typed, of today unless its day stands before it; a fault goes to the field."""
        field = self[name]
        text = (field.data or "").strip()
        if not text:
            field.errors = ["type a time, such as 14:30 or Tue 9:00"] if must else []
            return None
        try:
            at = read_moment(text)
        except TradeError as error:
            field.errors = [f"{error.what}. {error.to_do}"]
            return None
        passed = at < context.event_time()
        field.errors = ["this time has passed; put the day before it, such as Tue 9:00"] if passed else []
        return None if passed else at

    def drop_off(
        self, player_id: int, parts: Sequence[CardPart] | None = None, *, court_id: int | None = None
    ) -> DropOffForm:
        """Return what the desk is asked for: the racquets taken in, or PARTS of them."""
        on_court = self.needed_by_kind.data == "on_court"
        return DropOffForm(
            player_id=player_id,
            request_key=self.request_key.data or "",
            consent=self.consent.data or "",
            brought_by=self.brought_by.data or "",
            brought_by_id=None if self.brought_by.data else row_number(self.who.data),
            racquets=[
                RacquetForm(
                    racquet_id=part.racquet.racquet_id,
                    card=part.card(),
                    needed_by_kind="match" if on_court else self.needed_by_kind.data or "match",
                    needed_by_at=self.needed_by_at(),
                    not_before_at=self.not_before_at(),
                    on_court=on_court,
                    court_id=court_id,
                    shown_ready_at=part.shown_ready_at,
                    stringer_id=self.stringer_id.data or None,
                    matters=FIRST if part.racquet.racquet_id == self.first_id.data and not on_court else "",
                    played_hours=part.played_hours.data,
                    low_meant=bool(self.low_meant.data) or part.is_as_last_time,
                    frame_check=self.answer_for(part),
                    frame_note=self.note_on(part),
                    frame_meant=bool(self.frame_meant.data),
                )
                for part in (self.taken if parts is None else parts)
            ],
        )


def read_moment(text: str) -> datetime:
    """Read "14:30" as a time of the event's today, and "Tue 14:30" as a time of that day."""
    clock = context.clock()
    if " " in text.strip():
        return clock.parse_moment(text)
    return clock.parse(text, clock.local(context.event_time()).date())


def visit_form(
    racquets: Sequence[RacquetRow],
    strings: Sequence[tuple[int, str]],
    *,
    take: frozenset[int] = frozenset(),
    sent: bool = True,
    bringing: Sequence[tuple[int, str]] = (),
    brought_by_id: int | None = None,
) -> VisitForm:
    """Return the form as it was SENT, or with the last cards filled in and the racquets TAKE taken.

    BRINGING are the contacts that may bring the racquets, BROUGHT_BY_ID the one that is chosen already.
    """
    formdata = request.form if sent and request.method == "POST" else None
    form = VisitForm() if sent else VisitForm(formdata=None, request_key=request.form.get("request_key"))
    if context.head().kind == CLUB_WEEKEND:
        form.needed_by_kind.choices = options(WANTED_BY)
        form.needed_by_kind.label.text = "Wanted by"
        if form.needed_by_kind.data not in dict(WANTED_BY):
            form.needed_by_kind.data = "none"
    form.who.choices = options([("", "The player"), *((str(number), said) for number, said in bringing)])
    if formdata is None or form.who.data is None:
        form.who.data = str(brought_by_id or "")
    form.parts = [card_part(racquet, strings, formdata, take) for racquet in racquets if not racquet.is_at_desk]
    form.frame_which.choices = options([(part.racquet.racquet_id, str(part.racquet.number)) for part in form.parts])
    return form
