"""JSON Schemas for whoever edits YAML, generated from the vocabulary."""
