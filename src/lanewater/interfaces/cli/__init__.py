"""The shell: one module a command group."""
