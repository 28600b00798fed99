"""What the forms share: one way to save, and faults beside the field that they are about."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Iterable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import fields
from decimal import Decimal
from typing import Any, TypeVar, cast

from flask import Flask, flash, g, redirect, render_template, request
from flask.typing import ResponseReturnValue
from flask_wtf import FlaskForm
from sqlalchemy.exc import OperationalError
from sqlalchemy.orm import Session
from werkzeug.wrappers import Response
from wtforms import DecimalField, Field, FloatField, FormField, HiddenField, SelectMultipleField, StringField
from wtforms.fields.choices import SelectChoice
from wtforms.validators import NumberRange
from wtforms.widgets import CheckboxInput, ListWidget, TextInput

from desk.errors import BadInput, Busy, DeskError, NotFound
from desk.record_errors import AWAY, TOO_LARGE
from desk.trade.errors import TradeError
from desk.trade.event.money import parse_money
from desk.trade.racquet.units import decimal_point, plain
from desk.trade.racquet.value_kinds import Number, Whole
from desk.web import context

Asked = TypeVar("Asked")


class DeskForm(FlaskForm):
    """A form of the desk; `trouble` is what concerns the whole of it."""

    trouble: str = ""

    def process(self, *arguments: Any, **values: Any) -> None:
        """Fill the fields: words not sent are empty, and what is no number to count with (NaN, infinity) is none."""
        super().process(*arguments, **values)
        for field in self._fields.values():
            if isinstance(field, StringField) and field.data is None:
                field.data = ""
            elif isinstance(field.data, float | Decimal) and not Decimal(field.data).is_finite():
                field.data = None
                field.process_errors = [*field.process_errors, "a plain number"]

    def asked(self, kind: type[Asked], **more: Any) -> Asked:
        """Return what a service is asked for: its KIND filled from the fields of the same names, and with MORE."""
        return kind(**{one.name: self[one.name].data for one in fields(kind) if one.name in self} | more)

    def take(self, error: DeskError | TradeError) -> None:
        """Put a service's refusal where it belongs: at its fields, and above the form."""
        self.trouble = str(error)
        for name, sentence in getattr(error, "fields", {}).items():
            for field in self._named(name):
                field.errors = [*field.errors, sentence]

    def _named(self, name: str) -> list[Field]:
        """The field of that name, also one within a part of the form such as a half of a bed."""
        parts = [field for part in self if isinstance(part, FormField) for field in part]
        return [field for field in (*self, *parts) if field.name == name]


class KeyedForm(DeskForm):
    """A form that counts once, however often it is sent."""

    request_key = HiddenField(default=lambda: secrets.token_urlsafe(12))


class TicksField(SelectMultipleField):
    """Several of the choices, each with a box to tick."""

    widget, option_widget = ListWidget(prefix_label=False), CheckboxInput()


class _WithComma(Field):
    """A figure typed with a point or a comma; a browser's field for numbers would drop the comma."""

    widget = TextInput()

    def process_formdata(self, valuelist: list[str]) -> None:
        super().process_formdata([decimal_point(text) for text in valuelist])


class FigureField(_WithComma, DecimalField):
    """An exact figure, shown with as many places as it has."""

    def __init__(self, *arguments: Any, **values: Any) -> None:
        super().__init__(*arguments, places=None, **values)

    def _value(self) -> str:
        return self.raw_data[0] if self.raw_data else "" if self.data is None else plain(self.data)


class MeasureField(_WithComma, FloatField):
    """A figure that was measured."""


class MoneyField(StringField):
    """An amount of the event's currency as somebody types it; `minor` is what it comes to, None where none is typed."""

    minor: int | None = None

    def process_formdata(self, valuelist: list[str]) -> None:
        super().process_formdata(valuelist)
        text = (self.data or "").strip()
        try:
            self.minor = parse_money(text, context.head().currency).minor if text else None
        except TradeError as error:
            raise ValueError(f"{error.what}. {error.to_do}") from error


class _Refusing:
    """Stands for the session of a transaction that could not begin."""

    def __init__(self, error: Exception) -> None:
        self._error = error

    def __getattr__(self, _name: str) -> Any:
        raise self._error


class RefusedAtTheEnd(Exception):
    """A disk ran full, or the records went away, as a form's transaction ended."""

    def __init__(self, why: DeskError | TradeError) -> None:
        super().__init__(str(why))
        self.why = why


class FormsApp(Flask):
    """Shows a form again, with the reason, whose transaction was refused only at its end."""

    def dispatch_request(self) -> ResponseReturnValue:
        """Let the view answer; where its form was refused too late, let it answer anew with nothing to be written."""
        try:
            return super().dispatch_request()
        except RefusedAtTheEnd as error:
            g.refused = error.why
            # With the token that it was sent with it is the same form: what was stored after all is not stored twice.
            if token := request.form.get("csrf_token"):
                g.csrf_token = token
            for file in request.files.values():
                file.stream.seek(0)
            return super().dispatch_request()


@contextmanager
def saving(form: DeskForm, done: str = "") -> Iterator[Session]:
    """Write a valid form in one transaction, then say that it is DONE; a refusal goes into the form.

    A view returns from inside the block when all went well; after the block it shows the form with its faults.
    `NotFound` is no fault of the form: the handler of failures answers it. What is refused only when the transaction
    ends, after the view has left, raises `RefusedAtTheEnd`.
    """
    has_left = False
    try:
        with ExitStack() as stack:
            try:
                session = stack.enter_context(context.writing())
            except (DeskError, OperationalError) as error:
                # The block of a `with` always runs: its first use of the session is refused instead.
                session = cast("Session", _Refusing(error))
            yield session
            has_left = True
    except NotFound:
        raise
    except (DeskError, TradeError, OverflowError, OperationalError) as error:
        if has_left:
            raise RefusedAtTheEnd(_plain(error)) from error
        form.take(_plain(error))
    else:
        if done:
            flash(done)


def _plain(error: Exception) -> DeskError | TradeError:
    if isinstance(error, DeskError | TradeError):
        return error
    return BadInput(TOO_LARGE) if isinstance(error, OverflowError) else Busy(AWAY)


def saved(form: DeskForm, done: str, service: Callable[..., Any], *asked: Any, **values: Any) -> bool:
    """Tell whether a form was sent, is valid, and a service kept what it asks for; DONE is said then."""
    if form.validate_on_submit():
        with saving(form, done) as session:
            service(session, context.event_id(), *asked, acting=context.acting(), **values)
            return True
    return False


def show(template: str, **values: Any) -> tuple[str, int]:
    """Render a page; 422 when one of its forms was sent and holds a fault."""
    forms = [value for value in values.values() if isinstance(value, DeskForm)]
    faulty = request.method == "POST" and any(form.errors or form.trouble for form in forms)
    return render_template(template, **values), 422 if faulty else 200


def row_number(text: object) -> int | None:
    """Return the number of a row that a field or an address names; None for anything else."""
    plain = str(text or "")
    return int(plain) if plain.isascii() and plain.isdigit() and len(plain) < 19 else None


def row_numbers(text: object) -> list[int]:
    """Return the numbers of rows that a field names, with commas between them."""
    return [number for part in str(text or "").split(",") if (number := row_number(part)) is not None]


def within(kind: Whole | Number) -> NumberRange:
    """Return the check of a figure's one range."""
    return NumberRange(kind.low, kind.high, f"{kind.low:g} to {kind.high:g}")


def options(pairs: Iterable[tuple[Any, str]]) -> list[SelectChoice]:
    """Return (value, word) pairs as the choices of a field."""
    return [SelectChoice(value, word) for value, word in pairs]


def see(address: str) -> Response:
    """Send the browser on to ADDRESS after a write."""
    return redirect(address, 303)
