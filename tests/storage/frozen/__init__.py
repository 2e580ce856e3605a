"""Files of older formats, frozen."""
