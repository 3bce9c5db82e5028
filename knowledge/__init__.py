"""What is known of furnaces, parts, checks and repairs: YAML only."""
