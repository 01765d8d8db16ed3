"""Laws of oil in passages, as pure functions on arrays in SI units; no parts, no names."""
