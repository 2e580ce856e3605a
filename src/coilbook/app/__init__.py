"""Where the program is put together: command line, start, paths, log, self-test."""
