"""A module for each prefix of codes: the sentence of each code, with its remedy."""
