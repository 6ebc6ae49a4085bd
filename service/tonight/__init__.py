"""The outlook as it lives: nights taken from the store, models fitted, outlooks issued hourly."""
