"""The changeover between matches, and how long the event's matches are taken to be

Revision ID: 0006
Revises: 0005
"""

import sqlalchemy as sa
from alembic import op

revision = '0006'
down_revision = '0005'
branch_labels = None
depends_on = None

COLUMNS = {'between_least_minutes': '15', 'between_median_minutes': '23', 'match_length_per_cent': '100'}


def upgrade() -> None:
    with op.batch_alter_table('event', schema=None) as batch_op:
        for name, usual in COLUMNS.items():
            batch_op.add_column(sa.Column(name, sa.Integer(), server_default=usual, nullable=False))
    with op.batch_alter_table('event', schema=None) as batch_op:
        for name in COLUMNS:
            batch_op.alter_column(name, server_default=None)


def downgrade() -> None:
    with op.batch_alter_table('event', schema=None) as batch_op:
        for name in reversed(COLUMNS):
            batch_op.drop_column(name)
