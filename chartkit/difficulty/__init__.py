"""How hard some changes are for the hand: where to play them, and which bars to practise."""
