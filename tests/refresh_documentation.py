"""Put the present output under every command the documentation shows, and renew its pictures.

python -m tests.refresh_documentation
"""

from __future__ import annotations

from .documentation import DOCUMENTS, ROOT, refreshed
from .pictures import pictures

if __name__ == "__main__":
    now = {document: refreshed(document.read_text("utf-8")) for document in DOCUMENTS}
    for path, new in (now | pictures()).items():
        if not path.exists() or path.read_text("utf-8") != new:
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(new, "utf-8")
            print(f"renewed {path.relative_to(ROOT)}")
