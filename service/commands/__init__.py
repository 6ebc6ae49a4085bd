"""What each command of ``clutchweather`` does."""
