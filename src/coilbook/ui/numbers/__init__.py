"""The screen of the species' numbers: words, and its margin."""
