"""The parts of an animal's page."""
