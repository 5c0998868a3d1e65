"""Where thinking meets remembering: one command is one transaction."""
