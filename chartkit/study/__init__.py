"""What a player wants to know about the changes before playing them."""
