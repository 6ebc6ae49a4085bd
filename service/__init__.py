"""Listens, judges, stores, watches: everything between a sensor and a page."""
