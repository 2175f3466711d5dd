"""What a sheet leaves: the largest rectangles of it, and where what its job wants in reserve is."""
