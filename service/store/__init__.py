"""What is kept, and how: protocols with plain names, and their implementations."""
