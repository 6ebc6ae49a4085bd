"""Scales under nest boxes: what truly rests on them, and what a cheap instrument makes of it."""
