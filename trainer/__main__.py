"""`python -m trainer` is the command `trainer`."""

from __future__ import annotations

from trainer.cli.app import main

if __name__ == "__main__":
    main()
