"""Scans in: keyboard scanners, pictures and cameras become texts. What a scan means is decided elsewhere."""
