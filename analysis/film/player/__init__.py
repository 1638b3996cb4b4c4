"""The player of a film: plain JavaScript, style and markup, put into one file by ``film.page``."""
