"""Papers: everything that is written for a person, from a verified plan.

Here belong pages, tables, drawings on pages, labels, patterns and marking-out tables.  Nothing is
decided here: no placing, no choosing of stock, no checking.  Every function gets what was verified
and returns text or bytes; the same plan gives the same bytes.
"""
