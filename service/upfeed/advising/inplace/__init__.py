"""One part in another's place: what differs, what the trade supplies instead, and what either does."""
