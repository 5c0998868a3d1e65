"""The one engine: what a tablet must decide alone, in a small subset of Python."""
