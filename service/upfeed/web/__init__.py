"""The HTTP face: a read-only service under /v1, its contract and the server that runs it."""
