"""Alembic's entry: runs the migrations on the engine that the database gives."""

from alembic import context
from sqlalchemy import TypeDecorator

from desk.models import Base


def render_plain_type(kind, item, autogen_context):
    """Write our own column types as the database's, so that old migrations need no code of ours."""
    if kind == "type" and isinstance(item, TypeDecorator):
        return f"sa.{item.impl!r}"
    return False


engine = context.config.attributes["engine"]


def hold_foreign_keys(connection, on):
    """SQLite changes a table by making it anew; what refers to the old one would go with it."""
    if connection.dialect.name == "sqlite":
        connection.connection.execute(f"PRAGMA foreign_keys={'ON' if on else 'OFF'}")


with engine.connect() as connection:
    hold_foreign_keys(connection, on=False)
    try:
        context.configure(
            connection=connection,
            target_metadata=Base.metadata,
            render_as_batch=connection.dialect.name == "sqlite",
            compare_type=True,
            render_item=render_plain_type,
        )
        with context.begin_transaction():
            context.run_migrations()
    finally:
        hold_foreign_keys(connection, on=True)
