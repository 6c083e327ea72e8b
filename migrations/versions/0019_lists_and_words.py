"""Lists are read in the order of an index, and the words of rooms are kept to be searched.

Why:  with 50,000 rooms each page of a list sorted them all, and each search made its index anew.
Up:   adds indexes of places by name and of each place's rooms by name, as lists sort them, and
      room_words with a full-text index; it begins empty and is filled when the program starts.
Down: drops them; lists are the same, and slower; nothing that anybody typed is lost.
Both: SQLite searches by FTS5, kept in step by triggers; PostgreSQL by its full text.
"""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0019"
down_revision = "0018"
branch_labels = None
depends_on = None

LIVING, BINNED = sa.text("binned_at is null"), sa.text("binned_at is not null")


def upgrade() -> None:
    op.create_index("ix_location_in_order", "location", [sa.text("lower(name)"), "id"])
    op.create_index(
        "ix_location_binned", "location", ["id"], sqlite_where=BINNED, postgresql_where=BINNED
    )
    op.create_index(
        "ix_room_in_order",
        "room",
        ["location_id", sa.text("lower(coalesce(name, ''))"), "id"],
        sqlite_where=LIVING,
        postgresql_where=LIVING,
    )
    op.create_table(
        "room_words",
        sa.Column("room_id", sa.Integer(), autoincrement=False, nullable=False),
        sa.Column("words", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("room_id", name="pk_room_words"),
        sa.ForeignKeyConstraint(
            ["room_id"], ["room.id"], name="fk_room_words_room_id_room", ondelete="CASCADE"
        ),
    )
    if op.get_bind().dialect.name == "postgresql":
        op.create_index(
            "ix_room_words_sought",
            "room_words",
            [sa.text("to_tsvector('simple', words)")],
            postgresql_using="gin",
        )
        return
    op.execute(
        "create virtual table room_words_fts using fts5(words, content = 'room_words', "
        "content_rowid = 'room_id', tokenize = 'unicode61 remove_diacritics 2')"
    )
    off = (
        "insert into room_words_fts (room_words_fts, rowid, words) "
        "values ('delete', old.room_id, old.words);"
    )
    on = "insert into room_words_fts (rowid, words) values (new.room_id, new.words);"
    for when, what in (("insert", on), ("delete", off), ("update", off + on)):
        op.execute(f"create trigger room_words_{when} after {when} on room_words begin {what} end")


def downgrade() -> None:
    if op.get_bind().dialect.name == "sqlite":
        op.execute("drop table room_words_fts")
    op.drop_table("room_words")
    op.drop_index("ix_room_in_order", table_name="room")
    op.drop_index("ix_location_binned", table_name="location")
    op.drop_index("ix_location_in_order", table_name="location")
