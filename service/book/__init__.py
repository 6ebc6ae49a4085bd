"""The nest book as a folder of CSV files, out and in again.

One file a table (``csv_tables.py``), UTF-8 without a byte order mark, RFC 4180: comma, CRLF,
quotes doubled. The header is always there; rows stand in key order. Times are ISO 8601 in UTC
with ``Z``, microseconds only where they are not nought; dates are ISO 8601; the decimal sign is
a point; yes is ``yes`` and no is ``no``; nothing noted is an empty cell.

A cell that a spreadsheet could take for a formula gets an apostrophe before it
(``cell_guard.py``). Lists stand in one cell, their items apart by ``;`` (``list_cells.py``).
A file that is absent has no rows.
"""
