"""Parts of the screen of rooms, racks and slots."""
