"""The diagnosis."""
