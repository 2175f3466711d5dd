"""Bands along a curve (caps, covering boards), divided square to the curve to suit boards."""
