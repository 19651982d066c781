"""The JSON Schema of what an exported head is made of."""

from collections.abc import Mapping
from typing import Any

TEXT = {"type": "string"}
TIME = {"type": "string", "format": "date-time"}
UUID_PATTERN = "^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$"
UUID = {"type": "string", "pattern": UUID_PATTERN}
MAYBE_UUID = {"type": ["string", "null"], "pattern": UUID_PATTERN}
MAYBE_TEXT = {"type": ["string", "null"]}
NUMBER = {"type": "number"}
MAYBE_NUMBER = {"type": ["number", "null"]}
COUNT = {"type": "integer", "minimum": 0}
FLAG = {"type": "boolean"}
DIGEST_TEXT = {"type": "string", "pattern": "^[0-9a-f]{64}$"}


def object_of(**properties: Mapping[str, Any]) -> dict[str, Any]:
    """An object with these properties, all of them there, and no others."""
    return {
        "type": "object",
        "additionalProperties": False,
        "required": list(properties),
        "properties": dict(properties),
    }


def list_of(**properties: Mapping[str, Any]) -> dict[str, Any]:
    """A list of such objects."""
    return {"type": "array", "items": object_of(**properties)}
