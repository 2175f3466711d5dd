"""What no plan can undercut: areas, rows, conflicts, exact proofs on small sets."""
