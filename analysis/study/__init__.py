"""The result folder and the finished trials on disk: write, read, go on."""
