"""What each command does, a module each; :mod:`nestcut.cli.declared` says how it is called."""
