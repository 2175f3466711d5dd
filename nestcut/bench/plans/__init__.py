"""Plans of the open job: searched in processes of their own, moved by hand, cut, put on paper."""

from nestcut.bench.plans.fewer import FewerJoints, joints_of, price_of
from nestcut.bench.plans.plans import Plans
from nestcut.bench.plans.search import Search, Stage, Wish

__all__ = ["FewerJoints", "Plans", "Search", "Stage", "Wish", "joints_of", "price_of"]
