"""Plans for a real vehicle: what it does not do, which tests in which order, and the sheet."""
