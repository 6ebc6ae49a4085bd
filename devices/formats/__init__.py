"""The ways in which senders write their payloads: SenML packs and plain numbers."""
