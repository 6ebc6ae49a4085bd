"""The shed itself: heat, moisture and the air of its nest boxes."""
