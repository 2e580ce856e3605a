"""Paper: label sheets and rolls as PDF, drawn from layouts in millimetres."""
