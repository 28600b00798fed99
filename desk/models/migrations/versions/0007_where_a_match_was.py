"""Where a match was before it was moved

Revision ID: 0007
Revises: 0006
"""

import sqlalchemy as sa
from alembic import op

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None


def upgrade() -> None:
    with op.batch_alter_table("match_change", schema=None) as batch_op:
        batch_op.add_column(sa.Column("from_day_id", sa.Integer(), nullable=True))
        batch_op.add_column(sa.Column("from_court_id", sa.Integer(), nullable=True))
        batch_op.add_column(sa.Column("from_position", sa.Integer(), nullable=True))
        batch_op.add_column(sa.Column("from_start_at", sa.DateTime(), nullable=True))


def downgrade() -> None:
    op.execute("DELETE FROM match_change WHERE from_court_id IS NOT NULL")
    with op.batch_alter_table("match_change", schema=None) as batch_op:
        for name in ("from_start_at", "from_position", "from_court_id", "from_day_id"):
            batch_op.drop_column(name)
