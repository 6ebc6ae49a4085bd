"""Birds, pairs, clutches, eggs, chicks, checks, and what follows from them."""
