"""Answering the browser: the server, its guards, what it holds, jobs on its threads."""
