"""What whoever looked a frame over answered, racquet by racquet

Revision ID: 0028
Revises: 0027
"""

import sqlalchemy as sa
from alembic import op

revision = "0028"
down_revision = "0027"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("job", sa.Column("frame_check", sa.String(), nullable=False, server_default=""))
    # The tick of a visit said: no crack, grommets whole.
    job = sa.table("job", sa.column("drop_off_id"), sa.column("frame_check"))
    visit = sa.table("drop_off", sa.column("id"), sa.column("frame_checked", sa.Boolean()))
    ticked = sa.select(visit.c.id).where(visit.c.frame_checked.is_(True))
    op.execute(job.update().where(job.c.drop_off_id.in_(ticked)).values(frame_check="sound"))


def downgrade() -> None:
    with op.batch_alter_table("job") as batch:
        batch.drop_column("frame_check")
