"""The weather outside the simulated shed."""
