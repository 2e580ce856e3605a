"""The outlook of pairings: columns side by side, the ranking of mates, and what the margin says of a number."""
