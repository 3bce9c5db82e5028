"""What stands in the YAML files, as typed structures checked for shape."""
