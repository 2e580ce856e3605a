"""Parts of the screen of eggs."""
