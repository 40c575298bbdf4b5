"""The players: each turns an arrangement into a track."""
