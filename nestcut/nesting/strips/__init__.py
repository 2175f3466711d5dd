"""One strip of a fixed height, as short as can be: serves benchmarks, not sheets."""
