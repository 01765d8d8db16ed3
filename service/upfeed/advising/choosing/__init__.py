"""Other parts, settings and sizes tried for a build: ways out of what stands against it, and what still fits."""
