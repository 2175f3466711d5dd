"""The batten against the beam tables of handbooks."""

from __future__ import annotations

import numpy as np

from nestcut.papers.marking.batten import Ends, batten_points


def test_three_points_bend_it_like_a_beam_loaded_at_mid_span() -> None:
    """Simply supported beam, load at mid-span: y = h (3 x/L - 4 (x/L)^3) up to L/2.

    Standard beam table (e.g. Machinery's Handbook, "Stresses and Deflections in Beams", case of
    supported ends and load at the centre), from memory; a flat bend, so that slopes stay small.
    """
    length, h = 2400.0, 8.0

    line = batten_points(np.array([(0.0, 0.0), (length / 2, h), (length, 0.0)]), Ends.FREE, 50)

    left = line[:51]
    share = left[:, 0] / length
    assert np.abs(left[:, 1] - h * (3 * share - 4 * share**3)).max() < 1e-3
