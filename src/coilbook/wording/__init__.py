"""Sentences, units, dates and names in the keeper's language; decides nothing."""
