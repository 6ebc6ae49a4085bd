"""What one page shows, as frozen values made by pure functions."""
