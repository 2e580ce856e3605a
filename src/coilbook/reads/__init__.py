"""Queries that return ready, frozen rows for one screen or paper."""
