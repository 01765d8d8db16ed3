"""The bench sheet of a build: what to measure, put together, prime, start, by its own numbers."""
