"""Tapered boxes: walls, the saw settings where they meet, the volume inside."""
