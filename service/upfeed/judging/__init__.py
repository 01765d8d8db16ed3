"""The rule language, the rules, and what comes of them at each place."""
