"""What is to happen in a simulated shed: one small file a scenario, and their reader."""
