"""Put the present output under every command the documentation shows.

python -m tests.refresh_documentation
"""

from __future__ import annotations

from .documentation import DOCUMENTS, ROOT, refreshed

if __name__ == "__main__":
    for document in DOCUMENTS:
        old = document.read_text("utf-8")
        new = refreshed(old)
        if new != old:
            document.write_text(new, "utf-8")
            print(f"renewed {document.relative_to(ROOT)}")
