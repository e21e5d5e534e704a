"""Lets `python -m rollsim` do what the command `rollsim` does."""

from rollsim.cli import main

if __name__ == "__main__":
    main()
