"""Many waters at once: the kernel's own sources, compiled. An optional room, extra `fleet`."""
