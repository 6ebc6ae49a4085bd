"""Marks of our own: SVG drawn on the server. Pure: values in, text out."""
