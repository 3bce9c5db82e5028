"""Short questions without a furnace, made from the model, with answers that explain."""
