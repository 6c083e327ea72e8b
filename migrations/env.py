"""How a migration reaches the database: over the connection it is handed, or by the address it is
given.
"""

from __future__ import annotations

from alembic import context
from sqlalchemy import Connection, create_engine


def run(connection: Connection) -> None:
    """Run the migrations over one connection. Batch mode, because SQLite cannot alter a table in
    place.
    """
    context.configure(
        connection=connection,
        render_as_batch=connection.dialect.name == "sqlite",
        target_metadata=None,
    )
    with context.begin_transaction():
        context.run_migrations()


given = context.config.attributes.get("connection")
if given is not None:
    run(given)
else:
    with create_engine(context.config.attributes["url"]).connect() as made:
        run(made)
        made.commit()
