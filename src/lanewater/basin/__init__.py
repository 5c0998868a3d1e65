"""The pool as water in motion."""
