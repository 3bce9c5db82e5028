"""The diagnosis of one type of furnace as a page for a phone without a signal."""
