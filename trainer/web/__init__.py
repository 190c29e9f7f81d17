"""The pages. Nothing is computed here."""
