"""Settings of one installation, read from the environment.

What belongs to one event (time target, leads, prices, names on the board) is a column of the
event and is changed on its settings screen.
"""

from __future__ import annotations

import os
from collections.abc import Mapping
from dataclasses import dataclass

from desk.errors import BadInput


@dataclass(frozen=True, kw_only=True)
class Setting:
    """One environment variable with its default and its line of help."""

    name: str
    default: str
    help: str


SETTINGS = (
    Setting(
        name="DESK_DATABASE_URL",
        default="sqlite:///desk.sqlite",
        help="Where the records are: a SQLite file, or postgresql+psycopg://user@host/name.",
    ),
    Setting(name="DESK_HOST", default="127.0.0.1", help="Address that `serve` listens on; 0.0.0.0 for the hall."),
    Setting(name="DESK_PORT", default="8400", help="Port that `serve` listens on."),
    Setting(
        name="DESK_PUBLIC_URL",
        default="",
        help="Address that players reach, for QR codes; empty means the one the page was asked by.",
    ),
    Setting(
        name="DESK_SECRET_KEY",
        default="",
        help="Key that signs sessions; empty means one made at first start and kept in the database.",
    ),
    Setting(name="DESK_PLAN_SECONDS", default="1.5", help="Seconds the planner may think after a change."),
    Setting(name="DESK_PLAN_WORKERS", default="1", help="Cores that the planner may use."),
    Setting(
        name="DESK_BACKUP_FOLDER",
        default="",
        help="Folder into which `serve` copies the records each hour; 48 copies and one a day for 31 days are kept.",
    ),
    Setting(
        name="DESK_BEHIND_PROXY",
        default="",
        help="1 where a proxy with TLS stands in front: its word on the address counts, and cookies are for TLS only.",
    ),
    Setting(
        name="DESK_LOG_FILE",
        default="",
        help="File that gets the log as lines of JSON too, without names of persons; 50 MB of it are kept.",
    ),
    Setting(
        name="DESK_METRICS_TOKEN",
        default="",
        help="Word with which another machine may read /metrics; empty lets only this machine.",
    ),
    Setting(name="DESK_MAIL_HOST", default="", help="SMTP server that word to players goes through; empty: no e-mail."),
    Setting(name="DESK_MAIL_PORT", default="587", help="Its port; 587 with starttls, 465 with tls."),
    Setting(name="DESK_MAIL_TLS", default="starttls", help="starttls, tls from the first octet, or none."),
    Setting(name="DESK_MAIL_USER", default="", help="Whom the mail server knows; empty where it asks nobody."),
    Setting(name="DESK_MAIL_PASSWORD", default="", help="The password of DESK_MAIL_USER; stands nowhere else."),
    Setting(name="DESK_MAIL_FROM", default="", help="Address that e-mail to players comes from."),
    Setting(name="DESK_EXPORT_FOLDER", default="", help="Folder that gets a copy of the sheets when a day closes."),
)

_BY_NAME = {setting.name: setting for setting in SETTINGS}


def setting(name: str, environment: Mapping[str, str] | None = None) -> str:
    """Return the value of the setting NAME from the environment, or its default."""
    return (environment if environment is not None else os.environ).get(name) or _BY_NAME[name].default


def number_setting(name: str, low: float, high: float, *, whole: bool = True) -> float:
    """Return the setting NAME as a number from LOW to HIGH.

    BadInput where it is none, or lies outside.
    """
    text = setting(name)
    try:
        number = int(text) if whole else float(text)
    except ValueError:
        number = float("nan")
    if not low <= number <= high:
        kind = "a whole number" if whole else "a number"
        raise BadInput(f"{name} is “{text}”; it must be {kind} from {low:g} to {high:g}.")
    return number
