"""The keeper of a simulated shed: when there is a look, what is done, and the book of it."""
