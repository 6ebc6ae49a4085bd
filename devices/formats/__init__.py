"""The ways in which senders write their payloads: SenML packs, JSON objects, plain numbers."""
