"""Which slip leads to a wrong entry, and which numbers hide one slip behind another."""
