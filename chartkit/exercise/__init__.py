"""Lines through the changes, one kind a file."""
