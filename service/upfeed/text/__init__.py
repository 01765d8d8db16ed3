"""Answers and records as text for people."""
