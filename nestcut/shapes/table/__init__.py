"""Tables of offsets as plans print them, and what in them looks misread."""
