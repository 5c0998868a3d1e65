"""How the store came to its present form, one step a file."""
