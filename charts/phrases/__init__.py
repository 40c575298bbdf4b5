"""Demo phrases, all our own."""
