"""The command line: thin faces over the core. stdout is data, stderr is talk."""
