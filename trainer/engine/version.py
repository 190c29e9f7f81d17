"""The engine's version, kept with every attempt.

Raised whenever re-running the inputs of an older log could give other events. Old
attempts keep their log as it is. Who may import this: everyone above.
"""

from __future__ import annotations

ENGINE_VERSION = 3
