"""What air and light do: pure, each formula with its source."""
