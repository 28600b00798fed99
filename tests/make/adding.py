"""Rows added to the records of a test."""

from typing import TypeVar

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from desk.models import Base

Row = TypeVar("Row", bound=Base)


def add(session: Session, row: Row) -> Row:
    session.add(row)
    session.flush()
    return row


def next_number(session: Session, table: type[Base]) -> int:
    return 1 + (session.scalar(select(func.max(table.id))) or 0)
