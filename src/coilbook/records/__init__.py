"""The trade's vocabulary: ids, quantities, dates with a stated precision, enums, messages and errors."""
