"""What gauge readings say of values that are not well known."""
