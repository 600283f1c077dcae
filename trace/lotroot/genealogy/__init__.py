"""Who came from whom: lots, links, ranks, and the walks through them."""
