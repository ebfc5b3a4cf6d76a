"""JSON as it is given out: full precision, ISO dates, letters as they are."""

import json
from datetime import date
from pathlib import Path
from typing import Any


def json_text(document: Any) -> str:
    """A document as JSON text, with a line break at its end."""
    return json.dumps(document, indent=1, ensure_ascii=False, default=_plain) + "\n"


def _plain(value: Any) -> Any:
    if isinstance(value, date):
        return value.isoformat()
    return str(value) if isinstance(value, Path) else sorted(value)
