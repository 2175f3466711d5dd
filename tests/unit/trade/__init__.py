"""Numbers of the trade."""
