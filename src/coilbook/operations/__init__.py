"""What a keeper can do: one keyword-only function, one undoable act, one `Outcome`."""
