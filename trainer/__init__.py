"""A scenario trainer for intravenous infusions. For training only."""

__version__ = "0.3.0"
