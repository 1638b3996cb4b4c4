"""A result as one page that needs nothing else: printed, sent, or opened where there is no internet."""
