"""A waiting racquet that its player, on court by then, called for

Revision ID: 0027
Revises: 0026
"""

import sqlalchemy as sa
from alembic import op

revision = "0027"
down_revision = "0026"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("job", sa.Column("called_at", sa.DateTime(), nullable=True))
    op.add_column("job", sa.Column("before_call", sa.JSON(none_as_null=True), nullable=True))


def downgrade() -> None:
    with op.batch_alter_table("job") as batch:
        batch.drop_column("before_call")
        batch.drop_column("called_at")
