"""What commands, page and evidence share of a request: what is meant, what is refused, how far it is."""
