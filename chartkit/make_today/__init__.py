"""Today's routine made: its items as pages and sound, one booklet, one folder.

Conventions: an item (`chartkit.practice.item`) and the chart of its tune are enough to make it
again, at another tempo or in another key too. What is slow to make is kept by a digest of what it
was made from.
"""

from chartkit.make_today.facts import content_hash, tune_facts
from chartkit.make_today.items import item_page, item_playable, measure_with
from chartkit.make_today.today import Asked, Named, Today, today_plan

__all__ = [
    "Asked",
    "Named",
    "Today",
    "content_hash",
    "item_page",
    "item_playable",
    "measure_with",
    "today_plan",
    "tune_facts",
]
