"""What may come in and what goes out, as OpenAPI tells it: every field known and bounded."""
