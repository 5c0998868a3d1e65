"""The pages: a shell and plain modules that run in the browser."""
