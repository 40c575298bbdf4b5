"""A practice band, exercises and sheets from one plain-text chart."""
