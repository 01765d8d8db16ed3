"""Files and texts in: YAML, JSON, units; every value with its place, every fault with its words."""
