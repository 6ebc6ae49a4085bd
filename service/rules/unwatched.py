"""A shed of which no sensor is heard any more: after a while that is a danger by itself."""

from datetime import timedelta

UNWATCHED_FOR = timedelta(minutes=20)
"""So long after the last of its sensors was overdue. Common practice, no source: a receiver or a
network that starts anew is back by then, and a shed without heat has cooled by a degree or so."""
