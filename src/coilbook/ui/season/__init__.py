"""Parts of the Season screen."""
