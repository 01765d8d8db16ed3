"""What follows from checks: comparisons, readings, what to do, what to buy, what to look at on the bench."""
