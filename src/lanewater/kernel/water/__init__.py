"""Numbers only: the water's equilibrium and what follows from it."""
