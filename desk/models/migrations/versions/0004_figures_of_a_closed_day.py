"""Figures of a closed day

Revision ID: 0004
Revises: 0003
"""

import sqlalchemy as sa
from alembic import op


revision = '0004'
down_revision = '0003'
branch_labels = None
depends_on = None


def upgrade() -> None:
    with op.batch_alter_table('event_day', schema=None) as batch_op:
        batch_op.add_column(sa.Column('figures', sa.JSON(), nullable=True))
    with op.batch_alter_table('day_correction', schema=None) as batch_op:
        batch_op.add_column(sa.Column('subject', sa.String(), server_default='', nullable=False))
        batch_op.add_column(sa.Column('before', sa.String(), server_default='', nullable=False))
        batch_op.add_column(sa.Column('after', sa.String(), server_default='', nullable=False))


def downgrade() -> None:
    with op.batch_alter_table('day_correction', schema=None) as batch_op:
        batch_op.drop_column('after')
        batch_op.drop_column('before')
        batch_op.drop_column('subject')
    with op.batch_alter_table('event_day', schema=None) as batch_op:
        batch_op.drop_column('figures')
