"""The kernel's subset of Python, translated to one JavaScript module for the browser."""
