"""Rules on what the nest book tells: boxes by their stage, duties, and the copy of it all. Pure."""
