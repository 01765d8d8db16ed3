"""What the keepers of the knowledge base and the rules work with."""
