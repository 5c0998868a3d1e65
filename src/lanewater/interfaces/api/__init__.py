"""The HTTP API: JSON in, JSON out; every rule about the wire and none about pools."""
