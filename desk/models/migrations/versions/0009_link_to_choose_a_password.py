"""A link with which somebody chooses their password

Revision ID: 0009
Revises: 0008
"""

import sqlalchemy as sa
from alembic import op

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None


def upgrade() -> None:
    with op.batch_alter_table("account", schema=None) as batch_op:
        batch_op.add_column(sa.Column("link_hash", sa.String(), nullable=False, server_default=""))
        batch_op.add_column(sa.Column("link_until", sa.DateTime(), nullable=True))


def downgrade() -> None:
    with op.batch_alter_table("account", schema=None) as batch_op:
        batch_op.drop_column("link_until")
        batch_op.drop_column("link_hash")
