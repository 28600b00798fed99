"""One racquet on the form of a drop-off: whether it is taken in, and its job card."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any

from flask import request
from wtforms import BooleanField, Field, Form, FormField, IntegerField, RadioField, SelectField, StringField
from wtforms.validators import Length, Optional

from desk.queries.players.players import RacquetRow
from desk.trade.drop_off_forms import CardForm
from desk.trade.errors import TradeError, UnitError
from desk.trade.event.event_time import as_utc
from desk.trade.racquet.bed import Bed, Half, HalfCard, StringBed
from desk.trade.racquet.units import Tension, parse_tension, plain
from desk.trade.racquet.value_kinds import PLAYED_H, PRE_STRETCH
from desk.web.display import EXTRA_WORK_WORDS
from desk.web.forms import MeasureField, options, row_number, within

UNITS = (("lb", "lb"), ("kg", "kg"))
OWN_STRING = (
    ("no", "the desk’s"),
    ("yes", "the player’s own"),
    ("mains", "mains the player’s, crosses the desk’s"),
    ("crosses", "mains the desk’s, crosses the player’s"),
)
UNKNOWN = Decimal(0)


def _half(half: Half) -> FormField:
    """The fields of one half of a bed."""

    class HalfPart(Form):
        string_id = SelectField(f"String in the {half}", coerce=row_number, validate_choice=False)
        tension = StringField(f"{half.capitalize()} tension")
        pre_stretch = IntegerField(f"Pre-stretch of the {half}, %", [Optional(), within(PRE_STRETCH)])

    return FormField(HalfPart, separator="_")


class CardPart(Form):
    """One racquet: whether it is taken in, and its job card."""

    take = BooleanField("Take in")
    mains, crosses = _half("mains"), _half("crosses")
    unit = RadioField("Unit", choices=options(UNITS), validators=[Optional()])
    pieces = RadioField(
        "Knots",
        choices=options(((2, "4 knots, two pieces"), (1, "2 knots, one piece"))),
        coerce=int,
        validate_choice=False,
    )
    stencil = StringField("Stencil", [Length(max=60)])
    extra_work = SelectField(
        "Extra work", choices=options([(key, word or "none") for key, word in EXTRA_WORK_WORDS.items()])
    )
    own_string = SelectField("Whose string", choices=options(OWN_STRING), default="no")
    as_fresh = BooleanField("As fresh as possible: strung a few hours before it is needed")
    note = StringField("Note for the bench", [Length(max=1000)])
    played_hours = MeasureField("Hours played since, if the player says", [Optional(), within(PLAYED_H)])

    racquet: RacquetRow
    strings: dict[int, str]

    @property
    def halves(self) -> Bed[Form]:
        """The fields of mains and of crosses."""
        return Bed(self.mains.form, self.crosses.form)

    @property
    def is_known(self) -> bool:
        """Whether the racquet has a last card to repeat."""
        return self.racquet.last is not None

    @property
    def is_as_last_time(self) -> bool:
        """Whether the tensions are those of the last card."""
        last = self.racquet.last
        return last is not None and self.tensions() == last.bed.map(lambda half: half.spoken)

    @property
    def shown_name(self) -> str:
        return f"shown-{self.racquet.racquet_id}"

    @property
    def shown_ready_at(self) -> datetime | None:
        """The ready time that was on the screen when the form was sent."""
        try:
            return as_utc(datetime.fromisoformat(request.form.get(self.shown_name, "")))
        except ValueError:
            return None

    @property
    def has_string(self) -> bool:
        return self.halves.mains.string_id.data in self.strings

    def validate(self, extra_validators: Any = None) -> bool:
        if not self.take.data:
            return True
        super().validate(extra_validators)
        mains, crosses = self.halves
        if not self.has_string:
            _refuse(mains.string_id, "choose the string")
        if crosses.string_id.data not in (None, *self.strings):
            _refuse(crosses.string_id, "choose the string")
        if self.pieces.data == 1 and not self.card().bed.is_one_string:
            _refuse(self.pieces, "a hybrid is always two pieces: choose 4 knots")
        unit = self._unit_of_both()
        if unit is not None:
            for half in self.halves:
                _check_tension(half.tension, half.tension.data or mains.tension.data, unit)
        return not self.errors

    def _unit_of_both(self) -> str | None:
        """Return the unit that was chosen or typed; without one the tensions are refused, never guessed."""
        spoken = self._typed_units() | ({self.unit.data} if self.unit.data else set())
        if len(spoken) > 1:
            _refuse(self.unit, "two units were given: say which one")
        elif not spoken:
            _refuse(self.unit, "say pounds or kilos: the number alone may be either")
        return spoken.pop() if len(spoken) == 1 else None

    def _typed_units(self) -> set[str]:
        return {read.unit for half in self.halves if (read := _read(half.tension.data, ""))}

    def impossible(self) -> list[tuple[str, str]]:
        """Return (field id, sentence) for each impossible tension, in the unit that is known so far."""
        unit = next(iter(self._typed_units()), self.unit.data)
        typed = [half.tension for half in self.halves if unit and (half.tension.data or "").strip()]
        return [(field.id, sentence) for field in typed if (sentence := _tension_fault(field.data, unit))]

    def tensions(self) -> Bed[Tension] | None:
        """Return mains and crosses as spoken, or None while they cannot be read."""
        unit = next(iter(self._typed_units()), self.unit.data)
        read = self.halves.map(lambda half: _read(half.tension.data or self.halves.mains.tension.data, unit))
        return None if None in tuple(read) else read

    def card(self) -> CardForm:
        """Return the card; a tension that is not there yet counts nothing, since no time depends on it."""
        tensions, first = self.tensions(), self.halves.mains

        def half(name: Half) -> HalfCard:
            asked, spoken = self.halves[name], tensions and tensions[name]
            return HalfCard(
                string_id=asked.string_id.data or first.string_id.data,
                tension=spoken.value if spoken else UNKNOWN,
                unit=spoken.unit if spoken else "",
                pre_stretch=asked.pre_stretch.data or 0,
                own=self.own_string.data in ("yes", name),
            )

        return CardForm(
            bed=StringBed.of(half),
            pieces=1 if self.pieces.data == 1 else 2,
            stencil=(self.stencil.data or "").strip(),
            extra_work=self.extra_work.data or "none",
            as_fresh=bool(self.as_fresh.data),
            note=(self.note.data or "").strip(),
        )


def _refuse(field: Field, sentence: str) -> None:
    field.errors = [*field.errors, sentence]


def _check_tension(field: Field, text: str | None, unit: str) -> None:
    if not (text or "").strip():
        return _refuse(field, "type the tension")
    sentence = _tension_fault(text, unit)
    if sentence:
        _refuse(field, sentence)


def _tension_fault(text: str, unit: str) -> str:
    try:
        parse_tension(_with_unit(text, unit))
    except UnitError as error:
        return f"{error.what}. {error.to_do}"
    return ""


def _read(text: str | None, unit: str | None) -> Tension | None:
    try:
        return parse_tension(_with_unit(text or "", unit))
    except TradeError:
        return None


def _with_unit(text: str, unit: str | None) -> str:
    return text if any(letter.isalpha() for letter in text) else f"{text} {unit or ''}"


def card_part(racquet: RacquetRow, strings: Sequence[tuple[int, str]], sent: Any, take: frozenset[int]) -> CardPart:
    values = {"take": racquet.racquet_id in take, **last_card_values(racquet)}
    part = CardPart(sent, prefix=f"r{racquet.racquet_id}-", data=values)
    part.racquet, part.strings = racquet, dict(strings)
    part.halves.mains.string_id.choices = options([("", "choose …"), *strings])
    part.halves.crosses.string_id.choices = options([("", "as the mains"), *strings])
    return part


def last_card_values(racquet: RacquetRow) -> dict[str, Any]:
    """Return the last card of a racquet as the form shows it; a racquet without one has no unit."""
    last = racquet.last
    if last is None:
        return {"pieces": 2, "extra_work": "none"}
    return {
        "unit": last.bed.mains.unit,
        "pieces": last.pieces,
        **{
            part: {
                "string_id": half.string_id,
                "tension": plain(half.tension),
                "pre_stretch": half.pre_stretch or None,
            }
            for part, half in last.bed.items()
        },
        "stencil": last.stencil,
        "extra_work": "none",
        "own_string": last.bed.own_string,
        "as_fresh": last.as_fresh,
        "note": last.note,
    }
