"""The what-if page: a tank is built, tried and changed in the browser, on the code of the command line."""
