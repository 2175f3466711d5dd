"""Which pieces go together into one container: loads, tried one by one and chosen all at once.

``kinds`` lists the loads that the area allows, ``odds`` guesses which of them can be laid out and
learns from what was tried, ``choice`` picks the likeliest set that holds everything, ``trial`` lays
one out, ``search`` runs them in a circle.
"""
