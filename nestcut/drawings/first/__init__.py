"""A first job file from drawings."""
