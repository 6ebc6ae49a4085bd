"""What hangs in the shed and speaks: sensors, their faults, and the messages they send."""
