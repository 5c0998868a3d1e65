"""What was read, with what, and how far it can be trusted."""
