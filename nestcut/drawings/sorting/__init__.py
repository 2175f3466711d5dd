"""Loops to outlines: which lies in which, names, holes and marks, and what each seems to be."""
