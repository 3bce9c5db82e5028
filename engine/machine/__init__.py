"""The furnace as it behaves."""
