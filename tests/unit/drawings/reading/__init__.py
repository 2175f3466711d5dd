"""Drawings as builders get them: each with the parts that it holds and no others."""
