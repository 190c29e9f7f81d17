"""A scenario trainer for intravenous infusions. For training only."""

__version__ = "0.2.0"
