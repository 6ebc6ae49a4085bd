"""What is written down of a simulated shed: its messages, the truth, a configuration."""
