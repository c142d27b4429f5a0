"""A case: readings brought back from a real vehicle, what they leave, and the verdict."""
