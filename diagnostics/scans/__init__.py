"""Pages of scan reports: read one, look at one, compare two, and the shop's own meanings of codes."""
