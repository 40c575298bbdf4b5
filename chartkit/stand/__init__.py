"""The music stand: a page in the browser, served on this machine only."""
