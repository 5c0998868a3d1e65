"""The entries on disk: append-only, durable, one writer."""
