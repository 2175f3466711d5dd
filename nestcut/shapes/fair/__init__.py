"""Fair curves through readings, and how fair a row of readings is."""
