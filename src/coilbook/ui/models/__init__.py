"""Item models: an array of ids and a cache of frozen rows."""
