"""Facts kept for ever: entries in one canonical form, signed and in order."""
