"""Small parts every screen is built from."""
