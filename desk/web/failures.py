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


def _answer(status: int, text: str, faults: tuple = ()) -> tuple[str, int]:
    template = "failures/_failure.html" if context.wants_fragment() else "failures/page.html"
    heading = HEADINGS.get(status, HEADINGS[400])
    return render_template(template, status=status, heading=heading, text=text, faults=faults), status


def _desk_error(error: DeskError) -> tuple[str, int]:
    return _answer(error.status, str(error), error.faults if isinstance(error, BadInput) else ())


def _trade_error(error: TradeError) -> tuple[str, int]:
    return _answer(422, str(error))


def _out_of_range(_error: OverflowError) -> tuple[str, int]:
    return _desk_error(BadInput(TOO_LARGE))


def _out_of_reach(_error: OperationalError) -> tuple[str, int]:
    return _answer(503, AWAY)


def _csrf_error(_error: CSRFError) -> tuple[str, int]:
    return _answer(400, "This form is too old or was opened before you signed in. Open the page again and repeat it.")


def _http_error(error: HTTPException):
    if error.code is None or error.code < 400:
        return error
    return _answer(error.code, SENTENCES.get(error.code, error.description or ""))


def add_failures(app: Flask) -> None:
    app.register_error_handler(DeskError, _desk_error)
    app.register_error_handler(TradeError, _trade_error)
    app.register_error_handler(OverflowError, _out_of_range)
    app.register_error_handler(OperationalError, _out_of_reach)
    app.register_error_handler(CSRFError, _csrf_error)
    app.register_error_handler(HTTPException, _http_error)
