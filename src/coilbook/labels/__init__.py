"""Labels as data: codes, symbols, sheets and rolls in millimetres, and what stands on each label."""
