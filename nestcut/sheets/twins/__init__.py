"""Port and starboard of a part beside each other on their sheet, where that costs nothing."""
