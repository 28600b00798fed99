"""Kind of an event, telephone of a player, hours that a bed was played

Revision ID: 0020
Revises: 0019
"""

import sqlalchemy as sa
from alembic import op

revision = "0020"
down_revision = "0019"
branch_labels = None
depends_on = None

COLUMNS = (
    ("event", sa.Column("kind", sa.String(), server_default="tournament", nullable=False)),
    ("player", sa.Column("phone", sa.String(), server_default="", nullable=False)),
    ("job", sa.Column("played_hours", sa.Double(), nullable=True)),
)


def upgrade() -> None:
    for table, column in COLUMNS:
        op.add_column(table, column)


def downgrade() -> None:
    for table, column in COLUMNS:
        with op.batch_alter_table(table) as batch:
            batch.drop_column(column.name)
