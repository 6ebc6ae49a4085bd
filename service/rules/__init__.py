"""Rules as data, and what a rule says of the readings. No state, no clock."""
