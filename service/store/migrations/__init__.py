"""Steps from each layout of records.db to the next; run by ``service.store.sql_schema``."""
