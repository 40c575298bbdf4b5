"""The player's own phrases: their notation, what they are made of, and where they fit."""
