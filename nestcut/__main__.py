"""Lets ``python -m nestcut`` work; nothing else belongs here."""

from nestcut.cli import main

if __name__ == "__main__":
    main()
