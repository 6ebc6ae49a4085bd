"""Hens, cocks, eggs and chicks of a simulated shed, day by day."""
