"""Everything that comes in over MQTT, up to the reading walk."""
