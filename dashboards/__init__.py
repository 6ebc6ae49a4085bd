"""Pages for people, and the same facts as JSON."""
