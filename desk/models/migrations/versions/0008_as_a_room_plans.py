"""Own stringers, what stringers may do, needed by in two steps, fresh strings, ends that are only expected

Revision ID: 0008
Revises: 0007
"""

import sqlalchemy as sa
from alembic import op

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None

SPANS = (("outage", "to_at"), ("absence", "to_at"), ("play_stop", "resumes_at"))


def _flag(name: str, default: object) -> sa.Column:
    return sa.Column(name, sa.Boolean(), nullable=False, server_default=default)


def _columns() -> dict[str, list[sa.Column]]:
    return {
        "event": [
            sa.Column("walk_on_minutes", sa.Integer(), nullable=False, server_default="10"),
            sa.Column("fresh_hours", sa.Integer(), nullable=False, server_default="18"),
            _flag("tells_new_times", sa.false()),
        ],
        "stringer": [
            _flag("strings_gut", sa.true()),
            _flag("strings_on_court", sa.true()),
            _flag("is_trainee", sa.false()),
            sa.Column("most_a_day", sa.Integer(), nullable=True),
        ],
        "job": [sa.Column("latest_at", sa.DateTime(), nullable=True)],
        "job_card": [_flag("as_fresh", sa.false())],
        "outage": [_flag("over", sa.false())],
        "absence": [_flag("over", sa.false())],
        "play_stop": [_flag("over", sa.false())],
    }


def upgrade() -> None:
    for table, columns in _columns().items():
        with op.batch_alter_table(table, schema=None) as batch_op:
            for column in columns:
                batch_op.add_column(column)
    with op.batch_alter_table("player", schema=None) as batch_op:
        for column, target in (("own_stringer_id", "stringer"), ("own_machine_id", "machine")):
            batch_op.add_column(sa.Column(column, sa.Integer(), nullable=True))
            name = batch_op.f(f"fk_player_{column}_{target}")
            batch_op.create_foreign_key(name, target, [column], ["id"], ondelete="SET NULL")
    op.execute("UPDATE job SET latest_at = needed_by_at")
    for table, end in SPANS:
        op.execute(f"UPDATE {table} SET over = {'true' if _is_postgres() else '1'} WHERE {end} IS NOT NULL")


def _is_postgres() -> bool:
    return op.get_bind().dialect.name == "postgresql"


def downgrade() -> None:
    with op.batch_alter_table("player", schema=None) as batch_op:
        for column, target in (("own_machine_id", "machine"), ("own_stringer_id", "stringer")):
            batch_op.drop_constraint(batch_op.f(f"fk_player_{column}_{target}"), type_="foreignkey")
            batch_op.drop_column(column)
    for table, columns in _columns().items():
        with op.batch_alter_table(table, schema=None) as batch_op:
            for column in columns:
                batch_op.drop_column(column.name)
