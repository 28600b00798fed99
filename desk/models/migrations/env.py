"""Alembic's entry: runs the migrations on the engine that the database gives."""

from alembic import context
from sqlalchemy import TypeDecorator, text

from desk.models import Base


def render_plain_type(kind, item, autogen_context):
    """Write our own column types as the database's, so that old migrations need no code of ours."""
    if kind == "type" and isinstance(item, TypeDecorator):
        return f"sa.{item.impl!r}"
    return False


engine = context.config.attributes["engine"]
ONE_AT_A_TIME = 7_300_412


def hold_foreign_keys(connection, on):
    """SQLite changes a table by making a new one; rows that refer to the old one would go with it."""
    if connection.dialect.name == "sqlite":
        connection.connection.execute(f"PRAGMA foreign_keys={'ON' if on else 'OFF'}")


def wait_for_others(connection):
    """Let a second one that brings the tables up to date wait; on SQLite the write lock does that."""
    if connection.dialect.name == "postgresql":
        connection.execute(text("SELECT pg_advisory_xact_lock(:number)"), {"number": ONE_AT_A_TIME})


with engine.connect() as connection:
    hold_foreign_keys(connection, on=False)
    try:
        context.configure(
            connection=connection,
            target_metadata=Base.metadata,
            render_as_batch=connection.dialect.name == "sqlite",
            compare_type=True,
            render_item=render_plain_type,
            transactional_ddl=True,
        )
        with context.begin_transaction():
            wait_for_others(connection)
            context.run_migrations()
    finally:
        hold_foreign_keys(connection, on=True)
