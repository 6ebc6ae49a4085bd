"""Everything that a new memory card needs, in one file; and back again."""
