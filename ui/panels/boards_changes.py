"""Changes of a take-off block, one for each way of typing on the boards' panel."""

from collections.abc import Callable

from calibration.errors import InputError
from photomeasure.job.reading import parse
from ui.panels import fields
from ui.panels.fields import Block, Field
from ui.panels.refusing import refused
from ui.texts import said


def with_field(field: Field) -> Callable[[Block, str], Block]:
    """Return the change that one field makes."""

    def change(block: Block, typed: str) -> Block:
        value = field.read(typed, said("fields", field.key))
        return fields.put(block, field.path, value)

    return change


def with_fields(block: Block, *typed: str) -> Block:
    """Return the block with what stands in all fields."""
    for field, text in zip(fields.ALL, typed, strict=True):
        block = with_field(field)(block, text)
    return block


def with_line_facts(block: Block, line: str, *typed: str) -> Block:
    """Return the block with what was said of a line."""
    facts = {
        field.key: field.read(text, said("line_facts", field.key))
        for field, text in zip(fields.LINE, typed, strict=True)
    }
    return fields.with_line(block, line, facts)


def with_rule(block: Block, rule: str, typed: str) -> Block:
    """Return the block with a rule's value: JSON, or a bare word."""
    text = typed.strip()
    if not text:
        raise refused("boards", "own_value", "empty")
    try:
        value = parse(text.encode(), rule)
    except InputError:
        value = text
    return {**block, "rules": {**block.get("rules", {}), rule: value}}


def without_rule(block: Block, rule: str) -> Block:
    """Return the block in which a rule has its own value again."""
    kept = {key: value for key, value in block.get("rules", {}).items() if key != rule}
    return fields.put(block, ("rules",), kept or None)


def with_whole(_: Block, text: str) -> Block:
    """Return the block that was typed as a whole."""
    found = parse(text.encode("utf-8", "replace"), said("boards", "whole_text"))
    if not isinstance(found, dict):
        raise refused("boards", "whole_text", "no_block")
    return found
