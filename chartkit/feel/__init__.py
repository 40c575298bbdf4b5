"""Feels as rows and pattern files."""
