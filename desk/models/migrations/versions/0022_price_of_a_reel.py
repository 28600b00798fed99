"""What a reel or a set cost

Revision ID: 0022
Revises: 0021
"""

import sqlalchemy as sa
from alembic import op

revision = "0022"
down_revision = "0021"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("reel", sa.Column("price_minor", sa.Integer(), nullable=True))


def downgrade() -> None:
    with op.batch_alter_table("reel") as batch:
        batch.drop_column("price_minor")
