"""What the keeper set, from the configuration file or by default."""
