"""Run by Alembic: the steps go over the connection that ``sql_schema`` hands in.

That connection is in a transaction already, so steps are all done or none.
"""

from alembic import context

from service.store.sql_tables import METADATA

connection = context.config.attributes["connection"]
context.configure(connection=connection, target_metadata=METADATA)
context.run_migrations()
