"""Lines in space, and what follows them: bands, bottoms, panels laid flat, frames, transoms."""
