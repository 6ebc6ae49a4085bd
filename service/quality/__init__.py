"""How far a reading can be trusted."""
