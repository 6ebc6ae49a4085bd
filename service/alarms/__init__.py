"""Alarm states (IEC 62682) and their words."""
