"""Safe YAML that remembers the line of every mapping. Aliases are refused, size is capped."""

from typing import Any

import yaml

from .faults import Fault, FaultsError

MAX_BYTES = 256 * 1024
MAX_DEPTH = 8
Loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_constructor = yaml.constructor.SafeConstructor()


class Lined(dict[str, Any]):
    """A mapping with the line (from 1) it starts on."""

    line: int = 1


def parse(path: str, content: bytes) -> Any:
    """The document as plain values; mappings are Lined. Raises FaultsError with the line of what is wrong."""
    if len(content) > MAX_BYTES:
        raise FaultsError([Fault(path, 1, f"The file is larger than {MAX_BYTES // 1024} kB. Split it.")])
    try:
        text = content.decode("utf-8")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        raise FaultsError([Fault(path, line, "The file is not UTF-8. Save it as UTF-8.")]) from None
    try:
        node = yaml.compose(text, Loader=Loader)
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None)
        problem = getattr(error, "problem", None) or "it does not parse"
        line = mark.line + 1 if mark else 1
        raise FaultsError(
            [Fault(path, line, f"This is not valid YAML: {problem}. Mend the line or quote its text.")]
        ) from None
    if node is None:
        raise FaultsError([Fault(path, 1, "The file is empty.")])
    return _plain(path, node, set(), 0)


def _plain(path: str, node: yaml.Node, seen: set[int], depth: int) -> Any:
    line = node.start_mark.line + 1
    if id(node) in seen:
        raise FaultsError([Fault(path, line, "Aliases (*name) are not allowed. Write the text out.")])
    seen.add(id(node))
    if depth > MAX_DEPTH:
        raise FaultsError([Fault(path, line, "The file nests too deeply.")])
    if isinstance(node, yaml.MappingNode):
        mapping = Lined()
        mapping.line = line
        for key_node, value_node in node.value:
            key = _plain(path, key_node, seen, depth + 1)
            if not isinstance(key, str | bool):
                raise FaultsError([Fault(path, line, f"The key {key!r} is not a word.")])
            # YAML 1.1 reads a bare yes or no as a truth value; as keys they are words here.
            word = {True: "yes", False: "no"}[key] if isinstance(key, bool) else key
            if word in mapping:
                raise FaultsError([Fault(path, key_node.start_mark.line + 1, f"The key {word!r} stands twice.")])
            mapping[word] = _plain(path, value_node, seen, depth + 1)
        return mapping
    if isinstance(node, yaml.SequenceNode):
        return [_plain(path, child, seen, depth + 1) for child in node.value]
    try:
        return _constructor.construct_object(node)
    except (yaml.YAMLError, ValueError):
        raise FaultsError([Fault(path, line, f"The value {getattr(node, 'value', '')!r} cannot be read.")]) from None
