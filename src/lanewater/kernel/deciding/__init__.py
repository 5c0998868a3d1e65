"""Judging, doubt, what is due and what may be advised, on scaled whole numbers."""
