"""Why a fish is bullied: mechanisms switched off, and its loss shared out among them."""
