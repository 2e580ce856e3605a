"""Identification of a hatchling: what its parents can give, what the keeper sees, and both together."""
