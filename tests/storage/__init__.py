"""Tests of the collection on disk."""
