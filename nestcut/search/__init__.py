"""What all solvers share: effort, stopping, seeded streams, telling a watcher. No geometry here."""
