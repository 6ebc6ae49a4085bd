"""How long the work in the shed takes, and will take."""
