"""The wish for fresh strings on a card from an earlier event

Revision ID: 0023
Revises: 0022
"""

import sqlalchemy as sa
from alembic import op

revision = "0023"
down_revision = "0022"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("known_card", sa.Column("as_fresh", sa.Boolean(), nullable=False, server_default=sa.false()))


def downgrade() -> None:
    with op.batch_alter_table("known_card") as batch:
        batch.drop_column("as_fresh")
