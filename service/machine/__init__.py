"""What the service needs of the machine that it runs on: units, broker, addresses."""
