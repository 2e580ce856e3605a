"""What is due and why, and how long to wait: days passed in, never looked up."""
