"""What follows from the records and is kept current: everything here can be thrown away and rebuilt."""
