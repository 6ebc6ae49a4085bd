"""The lamps of the simulated shed, and the daylight beside them."""
