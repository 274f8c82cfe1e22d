"""Let ``python -m spadework.cli`` run the command."""

from spadework.cli import main

if __name__ == "__main__":
    main()
