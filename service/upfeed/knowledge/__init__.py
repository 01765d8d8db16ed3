"""What is known: vocabulary, parts, families, sources, relations and builds."""
