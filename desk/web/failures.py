"""One handler for everything a user can mend: what, where and what to do, as page or as fragment."""

from __future__ import annotations

from flask import Flask, render_template
from flask_wtf.csrf import CSRFError
from sqlalchemy.exc import OperationalError
from werkzeug.exceptions import HTTPException

from desk.errors import BadInput, DeskError
from desk.record_errors import AWAY, TOO_LARGE
from desk.trade.errors import TradeError
from desk.web import context

HEADINGS = {
    400: "That did not arrive whole",
    401: "Please sign in",
    403: "Not allowed",
    404: "Not found",
    405: "Not here",
    409: "That is not possible now",
    413: "Too large",
    414: "Too long",
    422: "Please look again",
    500: "The desk failed",
    503: "Busy",
}
SENTENCES = {
    401: "Your session has ended. Sign in again; everything that you saved is still there.",
    404: "There is no page at this address. Go back, or look it up from the menu.",
    405: "This address takes a form only. Go back and send the form again.",
    413: "What was sent is larger than 1 MB, so nothing of it was kept. Send it in parts.",
    414: "What is searched for is too long. Type fewer words.",
    500: "This is a fault in the program, not your doing. The other screens still work; try again.",
}
TOO_OLD = "This form is too old or was opened before you signed in. Open the page again and repeat it."


def _answer(status: int, text: str, faults: tuple = ()) -> tuple[str, int]:
    template = "failures/_failure.html" if context.wants_fragment() else "failures/page.html"
    heading = HEADINGS.get(status, HEADINGS[400])
    return render_template(template, status=status, heading=heading, text=text, faults=faults), status


def _desk_error(error: DeskError) -> tuple[str, int]:
    return _answer(error.status, str(error), error.faults if isinstance(error, BadInput) else ())


def _http_error(error: HTTPException):
    if error.code is None or error.code < 400:
        return error
    return _answer(error.code, SENTENCES.get(error.code, error.description or ""))


ANSWERS = {
    DeskError: _desk_error,
    TradeError: lambda error: _answer(422, str(error)),
    OverflowError: lambda _: _desk_error(BadInput(TOO_LARGE)),
    OperationalError: lambda _: _answer(503, AWAY),
    CSRFError: lambda _: _answer(400, TOO_OLD),
    HTTPException: _http_error,
}


def add_failures(app: Flask) -> None:
    for kind, answer in ANSWERS.items():
        app.register_error_handler(kind, answer)
