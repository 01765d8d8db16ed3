"""One check from end to end, and the answer as every face gives it."""
