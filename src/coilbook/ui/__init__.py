"""The window: Qt widgets, and nothing but."""
