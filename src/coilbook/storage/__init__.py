"""The collection on disk: tables, journal, opening and closing. Hands out plain values, never a row object."""
