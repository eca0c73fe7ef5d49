"""``python -m otochron``."""

from otochron.cli import main

if __name__ == "__main__":
    main()
