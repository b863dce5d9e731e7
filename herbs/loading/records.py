"""Validated records, as plain values ready to store."""

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any


def digest(value: Any) -> str:
    """SHA-256 of a value's canonical JSON."""
    text = json.dumps(value, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()


@dataclass
class Bundle:
    """Everything the files hold: vocabulary terms by kind, traditions, sources, teaching sets and herbs."""

    terms: dict[str, list[dict[str, Any]]] = field(default_factory=dict)
    traditions: list[dict[str, Any]] = field(default_factory=list)
    sources: list[dict[str, Any]] = field(default_factory=list)
    teaching_sets: list[dict[str, Any]] = field(default_factory=list)
    herbs: list[dict[str, Any]] = field(default_factory=list)

    def slugs(self, kind: str) -> Mapping[str, dict[str, Any]]:
        """Terms of a kind by slug."""
        return {term["slug"]: term for term in self.terms.get(kind, [])}

    def vocabulary_digest(self) -> str:
        """Digest of the words everything is written in."""
        return digest([self.terms, self.traditions, self.sources])

    def data_version(self) -> str:
        """Digest of the vocabulary's digest and every herb's digest: changes when anything computed with changes."""
        return data_version(self.vocabulary_digest(), [herb["digest"] for herb in self.herbs])


def data_version(vocabulary_digest: str, herb_digests: Iterable[str]) -> str:
    """The version of a materia medica made of these words and these herbs."""
    return digest([vocabulary_digest, *sorted(herb_digests)])[:16]
