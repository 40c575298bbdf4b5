"""Few cases that try every two choices together.

Import it as ``pairing``.
"""

import random
from itertools import combinations, product


def pairs(choices):
    """Cases in which any two choices of different kinds meet at least once."""
    kinds = [*combinations(range(len(choices)), 2)]
    missing = {(a, b, one, two) for a, b in kinds for one, two in product(choices[a], choices[b])}
    rng = random.Random(0)

    def news(case):
        return {(a, b, case[a], case[b]) for a, b in kinds} & missing

    while missing:
        a, b, one, two = min(missing, key=str)
        drawn = ([rng.choice(choice) for choice in choices] for _ in range(30))
        offered = [[*case[:a], one, *case[a + 1 : b], two, *case[b + 1 :]] for case in drawn]
        best = max(offered, key=lambda case: len(news(case)))
        missing -= news(best)
        yield tuple(best)
