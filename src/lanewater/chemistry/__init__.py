"""Typed faces over the kernel's water, and constants with their sources."""
