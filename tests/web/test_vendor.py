"""What is vendored is what its note says."""

from __future__ import annotations

import hashlib
import re

from trainer.paths import STATIC, TEMPLATES

VENDOR = STATIC / "vendor"
README = (VENDOR / "README.md").read_text()


def test_every_vendored_file_has_its_hash_in_the_note():
    for path in VENDOR.iterdir():
        if path.name != "README.md":
            assert f"{hashlib.sha256(path.read_bytes()).hexdigest()}  {path.name}" in README


def test_the_version_in_the_file_name_is_the_one_in_the_note_and_on_the_page():
    (name,) = (path.name for path in VENDOR.glob("htmx-*.js"))
    version = re.search(r"htmx-([\d.]+)-sse", name)
    assert version is not None
    assert f"`htmx.org` {version[1]}" in README
    assert f"vendor/{name}" in (TEMPLATES / "base.html").read_text()


def test_no_file_of_ours_names_an_address_outside():
    for path in (STATIC / "app.js", STATIC / "app.css", TEMPLATES / "base.html"):
        outside = path.read_text().replace("http://www.w3.org/2000/svg", "")
        assert not re.search(r"https?://", outside), path.name
