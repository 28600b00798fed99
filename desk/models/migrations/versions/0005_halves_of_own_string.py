"""Halves of own string, and the pace that was entered

Revision ID: 0005
Revises: 0004
"""

import sqlalchemy as sa
from alembic import op


revision = '0005'
down_revision = '0004'
branch_labels = None
depends_on = None


def upgrade() -> None:
    with op.batch_alter_table('job_card', schema=None) as batch_op:
        batch_op.add_column(sa.Column('own_mains', sa.Boolean(), server_default=sa.false(), nullable=False))
        batch_op.add_column(sa.Column('own_crosses', sa.Boolean(), server_default=sa.false(), nullable=False))
    op.execute('UPDATE job_card SET own_mains = own_string, own_crosses = own_string')
    with op.batch_alter_table('job_card', schema=None) as batch_op:
        batch_op.alter_column('own_mains', server_default=None)
        batch_op.alter_column('own_crosses', server_default=None)
        batch_op.drop_column('own_string')
    with op.batch_alter_table('stringer', schema=None) as batch_op:
        batch_op.add_column(sa.Column('pace_entered', sa.Integer(), server_default='100', nullable=False))
    op.execute('UPDATE stringer SET pace_entered = pace')


def downgrade() -> None:
    with op.batch_alter_table('stringer', schema=None) as batch_op:
        batch_op.drop_column('pace_entered')
    with op.batch_alter_table('job_card', schema=None) as batch_op:
        batch_op.add_column(sa.Column('own_string', sa.Boolean(), server_default=sa.false(), nullable=False))
    op.execute('UPDATE job_card SET own_string = own_mains AND own_crosses')
    with op.batch_alter_table('job_card', schema=None) as batch_op:
        batch_op.alter_column('own_string', server_default=None)
        batch_op.drop_column('own_crosses')
        batch_op.drop_column('own_mains')
