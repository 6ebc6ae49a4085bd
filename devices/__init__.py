"""What reports, and in which words: readings, payload formats, senders."""
