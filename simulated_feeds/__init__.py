"""A shed that is not there, speaking MQTT like one that is."""
